package dxf

import (
	"fmt"
	"strings"
)

// position is where in the structure of the file the reader stands.
type position struct {
	section  string // "" between sections
	records  bool   // the section is one of records: tables, blocks or entities
	naming   bool   // SECTION was read, its name not yet
	variable string // of the header
	sections int    // begun so far
	ended    bool   // EOF was read
}

// run reads all sections.
func (rd *reader) run() error {
	st := rd.src.state()
	for !rd.at.ended {
		g, err := rd.next()
		if err != nil {
			return err
		}
		if g == nil {
			break
		}
		if g.bad {
			if err := rd.badGroup(g); err != nil {
				return err
			}
		}
		if g.code != 0 {
			if rd.at.records {
				err = rd.asm.add(g)
			} else {
				err = rd.value(g)
			}
			if err != nil {
				return err
			}
			continue
		}
		typ := rd.typeName(g.val)
		if st.open && typ.name != "EOF" && typ.name != "ENDSEC" {
			// The file ends here, and the name itself may be cut short.
			st.partial, st.between = true, true
			break
		}
		if err := rd.structure(typ, g); err != nil {
			return err
		}
	}
	return rd.finish()
}

// value takes a group that belongs to what began before, and to no record.
func (rd *reader) value(g *group) error {
	p := &rd.at
	if p.naming && g.code == 2 {
		rd.startSection(rd.typeName(g.val).name)
		return nil
	}
	switch p.section {
	case "HEADER":
		if g.code == 9 {
			p.variable = string(g.val)
		} else {
			rd.headerValue(p.variable, g)
		}
	case "":
		if p.sections == 0 && g.code != 999 {
			return rd.notDXF(g.line)
		}
	}
	return nil
}

// structure takes a group with code 0: sections, and what begins in them.
func (rd *reader) structure(typ typeName, g *group) error {
	p := &rd.at
	switch typ.name {
	case "SECTION":
		if err := rd.endSection(p.section != "", g.line); err != nil {
			return err
		}
		p.naming = true
		p.sections++
		return nil
	case "ENDSEC":
		return rd.endSection(false, g.line)
	case "EOF":
		p.ended = true
		return rd.endSection(p.section != "", g.line)
	}
	if p.section == "" && (p.sections == 0 || p.naming) {
		// Entities without a section around them.
		if typ.kind.leftOut() {
			if p.sections == 0 {
				return rd.notDXF(g.line)
			}
			return nil
		}
		p.sections++
		rd.startSection("ENTITIES")
		if err := rd.problem("missing-section", g.line, false, "entities without an ENTITIES section"); err != nil {
			return err
		}
	}
	switch p.section {
	case "ENTITIES", "BLOCKS":
		return rd.asm.begin(typ, g.start)
	case "TABLES":
		if err := rd.asm.begin(typ, g.start); err != nil {
			return err
		}
		rd.asm.cur.kind = &entryType
	}
	return nil
}

func (rd *reader) notDXF(line int) error {
	return &Error{Line: line, Text: "this is not a DXF drawing (it must begin with 0 and SECTION): export the drawing as DXF"}
}

// badGroup tells of lines skipped, and marks the record they stood in.
func (rd *reader) badGroup(g *group) error {
	line, section := rd.src.state().badLine, rd.at.section
	if rd.at.sections == 0 && rd.typeName(g.val).name != "SECTION" {
		return rd.notDXF(line)
	}
	inside := section == "ENTITIES" || section == "BLOCKS"
	if c := rd.asm.cur; inside && c != nil && !c.whole() {
		if c.broken == "" {
			c.broken, c.brokenAt, c.brokenCode = "a line that is no group code", line, "bad-group"
		}
		return nil // told when the record comes up for use
	}
	return rd.problem("bad-group", line, false, "a line that is no group code: skipped to the next entity")
}

func (rd *reader) startSection(section string) {
	rd.at.section, rd.at.naming, rd.at.records = section, false, true
	switch section {
	case "ENTITIES":
		rd.asm.emit = rd.entity
		rd.growth.start = *rd.growth.read
	case "BLOCKS":
		rd.asm.emit = rd.blockRecord
	case "TABLES":
		rd.lateTables = rd.lateTables || len(rd.d.Entities) > 0
		rd.asm.emit = rd.tableEntry
	default:
		rd.at.records = false
	}
}

// endSection ends the section at hand; unended tells that it has no ENDSEC.
func (rd *reader) endSection(unended bool, line int) error {
	section, records := rd.at.section, rd.at.records
	rd.at.section, rd.at.naming, rd.at.records = "", false, false
	if records {
		if err := rd.asm.end(); err != nil {
			return err
		}
		rd.block = nil
	}
	if unended {
		return rd.problem("missing-endsec", line, false, "section "+section+" has no ENDSEC")
	}
	return nil
}

// headerValue takes the few header variables that matter.
func (rd *reader) headerValue(variable string, g *group) {
	switch variable {
	case "$ACADVER":
		if g.code == 1 {
			rd.d.Version = strings.ToUpper(rd.decode(g.val))
			rd.text.version(rd.d.Version)
		}
	case "$DWGCODEPAGE":
		if g.code == 3 {
			rd.text.codePage(string(g.val))
		}
	case "$INSUNITS":
		if v, ok := g.int(); ok && g.code == 70 {
			rd.d.InsUnits = v
		}
	case "$MEASUREMENT":
		if v, ok := g.int(); ok && g.code == 70 && (v == 0 || v == 1) {
			rd.d.Measurement = v
		}
	}
}

// tableEntry takes layers; nothing else in the tables matters.
func (rd *reader) tableEntry(r *record) error {
	if r.typ != "LAYER" {
		return nil
	}
	name := r.text(2)
	if name == "" {
		return nil
	}
	l := &rd.d.Layers[rd.layerNamed(name)]
	color := r.flags(62)
	l.Off = color < 0
	l.Color = max(color, -color)
	l.Frozen = r.flags(70)&1 != 0
	l.NoPlot = l.NoPlot || r.num(290, 1) == 0
	rd.d.Own, rd.d.Paths = rd.d.Own || ownLayer(r), rd.d.Paths || pathsLayer(r)
	return nil
}

// finish settles what had to wait for the end of the file.
func (rd *reader) finish() error {
	st := rd.src.state()
	if st.err != nil {
		// Damaged binary data are an end like any other; a failing disk is not.
		if _, damaged := st.err.(*Error); !damaged || rd.strict {
			return st.err
		}
	}
	if !rd.at.ended {
		if err := rd.cutShort(st); err != nil {
			return err
		}
	}
	return rd.settle()
}

// cutShort deals with a file that has no EOF: it may lack no more than that, or
// end in the middle of something.
func (rd *reader) cutShort(st *sourceState) error {
	section := rd.at.section
	if rd.at.sections == 0 {
		return rd.notDXF(st.badLine)
	}
	var lost *record
	var err error
	inEntities := section == "ENTITIES"
	if inEntities || section == "BLOCKS" {
		sure := st.err == nil && !st.partial && !st.open
		if lost, err = rd.asm.cut(sure); err != nil {
			return err
		}
	}
	why := "the file ends without EOF"
	if e, ok := st.err.(*Error); ok {
		why = e.Text
	}
	switch {
	case lost != nil && inEntities:
		if len(rd.d.Entities) == 0 {
			return &Error{Line: st.line, Entity: lost.name(), Text: "the file ends in the middle of its first entity: export or download the drawing again"}
		}
		return rd.problem("cut-short", st.line, true, fmt.Sprintf("the file ends in the middle of a %s (line %d): what follows is lost", lost.typ, lost.line))
	case len(rd.d.Entities) == 0:
		return &Error{Line: st.line, Text: "the file ends before any entity" + in(section) + ": export or download the drawing again"}
	case (st.partial || st.open || st.err != nil) && inEntities:
		return rd.problem("cut-short", st.line, true, "the file ends in the middle of an entity: what follows is lost")
	}
	return rd.problem("missing-eof", st.line, false, why+in(section))
}

func in(section string) string {
	if section == "" {
		return ""
	}
	return ", in section " + section
}
