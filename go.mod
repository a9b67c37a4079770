module sluice

go 1.26.0

require (
	github.com/bmatcuk/doublestar/v4 v4.10.4 // indirect
	github.com/google/go-cmp v0.7.0 // indirect
	github.com/google/renameio/v2 v2.0.2 // indirect
	github.com/mitchellh/colorstring v0.0.0-20190213212951-d06e56a500db // indirect
	github.com/owenrumney/go-sarif/v3 v3.3.1 // indirect
	github.com/paulmach/orb v0.14.0 // indirect
	github.com/pelletier/go-toml/v2 v2.4.3 // indirect
	github.com/rivo/uniseg v0.4.7 // indirect
	github.com/rogpeppe/go-internal v1.16.0 // indirect
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3 // indirect
	github.com/schollz/progressbar/v3 v3.19.1 // indirect
	github.com/spf13/pflag v1.1.0 // indirect
	github.com/tidwall/geoindex v1.7.0 // indirect
	github.com/tidwall/rtree v1.10.0 // indirect
	github.com/yofu/dxf v0.0.0-20250806094206-f3988c7f0176 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/term v0.48.0 // indirect
	golang.org/x/text v0.44.0 // indirect
	pgregory.net/rapid v1.3.0 // indirect
)
