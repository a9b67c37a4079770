package job

import (
	"reflect"
	"strings"
	"testing"
)

// Every field of a table that may stand several times has a key that is read,
// printed and told with its line.
func TestEntryFields(t *testing.T) {
	const all = "[[sheet]]\nname = \"n\"\nmaterial = \"m\"\nthickness = 3\nsize = [900, 600]\norigin = \"drawing\"\nmargin = 4\ncount = 2\nprice = 5\nparts = [1]\n" +
		"[[stock]]\nname = \"n\"\nmaterial = \"m\"\nthickness = 3\nsize = [900, 600]\nmargin = 4\ncount = 2\nprice = 5\n" +
		"[[part]]\npart = \"7\"\ncount = 2\nturns = \"half\"\ngrain = \"y\"\ngap = 6\n[layout]\ngrain = \"x\"\n" +
		"[[suppress]]\nrule = \"thin-web\"\nlayer = \"a\"\npart = \"1\"\nreason = \"r\"\n" +
		"[[material]]\nname = \"b\"\ndensity = 2\nmachinability = 3\nshear = 4\n[[clamp]]\nat = [4, 5]\nsize = [6, 7]\n"
	j, err := Parse([]byte(all), "", someRules)
	if err != nil {
		t.Fatal(err)
	}
	v := reflect.ValueOf(j).Elem()
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.Struct {
			name := strings.TrimSuffix(strings.ToLower(v.Type().Field(i).Name), "list")
			table := entriesOf(name)
			if table == nil || f.Len() != 1 {
				t.Fatalf("[[%s]] is no table, or read %d times", name, f.Len())
			}
			if e := f.Index(0); e.NumField() != len(table.keys)+1 || j.EntryLine(name, 0) == 0 || j.EntryLine(name, 1) != 0 {
				t.Errorf("[[%s]]: %d keys for %d fields, line %d", name, len(table.keys), e.NumField(), j.EntryLine(name, 0))
			}
			for k := range f.Index(0).NumField() {
				if name == "stock" && f.Index(0).Type().Field(k).Name == "File" {
					continue // in the place of a size
				}
				if f.Index(0).Field(k).IsZero() {
					t.Errorf("[[%s]]: nothing is read into %s", name, f.Index(0).Type().Field(k).Name)
				}
			}
		}
	}
}
