package report

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"unicode"

	"sluice/lint/cutting"
	"sluice/lint/job"
)

// setting is one setting in force.
type setting struct{ Key, Value string }

// settingTable is a table of the job file.
type settingTable struct {
	Name     string
	Settings []setting
}

// settingsOf lists every setting of a job under its name in the job file.
// Lengths are mm. It reads the job by reflection so that no setting that is
// added later can be forgotten in the report.
func settingsOf(j *job.Job) []settingTable {
	if j == nil {
		return nil
	}
	top := settingTable{Name: "job"}
	var tables []settingTable
	v := reflect.ValueOf(*j)
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if !f.IsExported() || f.Name == "Path" { // the page names the file itself
			continue
		}
		name, fv := snake(f.Name), v.Field(i)
		switch fv.Kind() {
		case reflect.Struct:
			if t := tableOf(name, fv); len(t.Settings) > 0 {
				tables = append(tables, t)
			}
		case reflect.Map:
			if t := mapOf(name, fv); len(t.Settings) > 0 {
				tables = append(tables, t)
			}
		default:
			if s, ok := settingText(fv); ok {
				top.Settings = append(top.Settings, setting{name, s})
			}
		}
	}
	tables = append([]settingTable{top}, tables...)
	resolve(tables, "limits", "web", j.Limits.Web == 0, figure(j.WebLimit(), 4)+", from kerf and thickness")
	resolve(tables, "limits", "hole", j.Limits.Hole == 0, figure(j.HoleLimit(), 4)+", from kerf and thickness")
	resolve(tables, "sheet", "thickness", j.Sheet.Thickness == 0, "not set")
	resolve(tables, "tabs", "width", j.Tabs.Width == job.Auto, figure(cutting.TabWidth(j), 3)+", from material and thickness")
	resolve(tables, "fit", "taper", j.Fit.Taper == job.Auto, figure(j.SlotTaper(), 3)+", from thickness and edge")
	return tables
}

// resolve puts what is in force in the place of a length that is left open.
func resolve(tables []settingTable, table, key string, open bool, value string) {
	for _, t := range tables {
		for i := range t.Settings {
			if t.Name == table && t.Settings[i].Key == key && open {
				t.Settings[i].Value = value
			}
		}
	}
}

func tableOf(name string, v reflect.Value) settingTable {
	t := settingTable{Name: name}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if !f.IsExported() {
			continue
		}
		s, ok := settingText(v.Field(i))
		if f.Name == "Quality" { // the speed equation's number stands in explain and JSON alone
			f.Name, s = "Edge", job.EdgeWord(v.Field(i).Float())
		}
		if ok {
			t.Settings = append(t.Settings, setting{snake(f.Name), s})
		}
	}
	return t
}

func mapOf(name string, v reflect.Value) settingTable {
	t := settingTable{Name: name}
	for _, k := range v.MapKeys() {
		if s, ok := settingText(v.MapIndex(k)); ok {
			t.Settings = append(t.Settings, setting{fmt.Sprint(k), s})
		}
	}
	slices.SortFunc(t.Settings, func(a, b setting) int { return cmp.Compare(a.Key, b.Key) })
	return t
}

// settingText formats a value, false for kinds that the job file has no way to
// write.
func settingText(v reflect.Value) (string, bool) {
	switch v.Kind() {
	case reflect.String:
		if v.String() == "" {
			return "not set", true
		}
		return clean(v.String()), true
	case reflect.Bool:
		return map[bool]string{true: "yes", false: "no"}[v.Bool()], true
	case reflect.Float32, reflect.Float64:
		if f := v.Float(); !math.IsNaN(f) && !math.IsInf(f, 0) {
			return figure(f, 6), true
		}
		return "not set", true
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64,
		reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return fmt.Sprint(v.Interface()), true
	case reflect.Slice:
		var s []string
		for i := range v.Len() {
			e, ok := settingText(v.Index(i))
			if !ok {
				return "", false
			}
			s = append(s, e)
		}
		if len(s) == 0 {
			return "none", true
		}
		return strings.Join(s, ", "), true
	case reflect.Struct: // an entry of a list, such as a suppression
		var s []string
		for i := range v.NumField() {
			f, fv := v.Type().Field(i), v.Field(i)
			if !f.IsExported() || f.Name == "Line" || fv.IsZero() {
				continue
			}
			if text, ok := settingText(fv); ok {
				s = append(s, snake(f.Name)+" "+text)
			}
		}
		return strings.Join(s, " "), len(s) > 0
	}
	return "", false
}

// snake turns SlatPitch into slat_pitch.
func snake(s string) string {
	var b strings.Builder
	for i, r := range s {
		if unicode.IsUpper(r) && i > 0 {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}
