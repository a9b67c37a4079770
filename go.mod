module sluice

go 1.26.0

require (
	github.com/bmatcuk/doublestar/v4 v4.10.4
	github.com/google/btree v1.1.3
	github.com/google/go-cmp v0.7.0
	github.com/paulmach/orb v0.14.0
	github.com/pelletier/go-toml/v2 v2.4.3
	github.com/rogpeppe/go-internal v1.16.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	github.com/schollz/progressbar/v3 v3.19.1
	github.com/spf13/pflag v1.1.0
	github.com/yofu/dxf v0.0.0-20250806094206-f3988c7f0176
	golang.org/x/sys v0.50.0
	golang.org/x/term v0.48.0
	golang.org/x/text v0.44.0
	pgregory.net/rapid v1.3.0
)

require (
	github.com/mitchellh/colorstring v0.0.0-20190213212951-d06e56a500db // indirect
	github.com/rivo/uniseg v0.4.7 // indirect
	github.com/stretchr/testify v1.11.1 // indirect
	golang.org/x/tools v0.52.0 // indirect
)
