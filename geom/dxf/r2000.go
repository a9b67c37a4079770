package dxf

import (
	"fmt"
	"strconv"
	"strings"

	"sluice/geom"
)

// handle names a thing in the file; each has its own, from 1 on.
type handle int

func (h handle) String() string { return strings.ToUpper(strconv.FormatInt(int64(h), 16)) }

// skeletonText is all of an R2000 drawing but its entities: the least that readers
// ask for. Groups are a code, a blank and the value, parted by bars and line
// ends. For a value, + is a new handle and ^ that of the table at hand; what
// stands in braces differs from drawing to drawing.
const skeletonText = `0 SECTION|2 HEADER
9 $ACADVER|1 AC1015
9 $DWGCODEPAGE|3 ANSI_1252
9 $INSBASE|10 0.0|20 0.0|30 0.0
9 $EXTMIN|10 {xmin}|20 {ymin}|30 0.0
9 $EXTMAX|10 {xmax}|20 {ymax}|30 0.0
9 $INSUNITS|70 {unit}
9 $MEASUREMENT|70 {metric}
9 $LUNITS|70 2
9 $LTSCALE|40 1.0
9 $HANDSEED|5 {free}
0 ENDSEC
0 SECTION|2 CLASSES
0 ENDSEC
0 SECTION|2 TABLES
0 TABLE|2 VPORT|5 +|100 AcDbSymbolTable|70 0
0 ENDTAB
0 TABLE|2 LTYPE|5 +|100 AcDbSymbolTable|70 6
0 LTYPE|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbLinetypeTableRecord|2 ByLayer|70 0|3 |72 65|73 0|40 0.0
0 LTYPE|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbLinetypeTableRecord|2 ByBlock|70 0|3 |72 65|73 0|40 0.0
0 LTYPE|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbLinetypeTableRecord|2 Continuous|70 0|3 Solid Line|72 65|73 0|40 0.0
0 LTYPE|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbLinetypeTableRecord|2 HIDDEN|70 0|3 Hidden __ __ __ __ __ __ __ __ __ __ __ __ __ _|72 65|73 2|40 0.375|49 0.25|74 0|49 -0.125|74 0
0 LTYPE|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbLinetypeTableRecord|2 DASHDOT|70 0|3 Dash dot __ . __ . __ . __ . __ . __ . __ . __|72 65|73 4|40 1.0|49 0.5|74 0|49 -0.25|74 0|49 0.0|74 0|49 -0.25|74 0
0 LTYPE|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbLinetypeTableRecord|2 {mark}|70 0|3 {about}|72 65|73 0|40 0.0
0 ENDTAB
{layers}
0 ENDTAB
0 TABLE|2 STYLE|5 +|100 AcDbSymbolTable|70 1
0 STYLE|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbTextStyleTableRecord|2 Standard|70 0|40 0.0|41 1.0|50 0.0|71 0|42 100.0|3 arial.ttf|4 
0 ENDTAB
0 TABLE|2 VIEW|5 +|100 AcDbSymbolTable|70 0
0 ENDTAB
0 TABLE|2 UCS|5 +|100 AcDbSymbolTable|70 0
0 ENDTAB
0 TABLE|2 APPID|5 +|100 AcDbSymbolTable|70 2
0 APPID|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbRegAppTableRecord|2 ACAD|70 0
0 APPID|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbRegAppTableRecord|2 {mark}|70 0
0 ENDTAB
0 TABLE|2 DIMSTYLE|5 +|100 AcDbSymbolTable|70 0|100 AcDbDimStyleTable|71 0
0 ENDTAB
0 TABLE|2 BLOCK_RECORD|5 +|100 AcDbSymbolTable|70 3
0 BLOCK_RECORD|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbBlockTableRecord|2 *Model_Space|70 0|280 1|281 0
0 BLOCK_RECORD|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbBlockTableRecord|2 *Paper_Space|70 0|280 1|281 0
0 BLOCK_RECORD|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbBlockTableRecord|2 *Paper_Space0|70 0|280 1|281 0
0 ENDTAB
0 ENDSEC
0 SECTION|2 BLOCKS
0 BLOCK|5 +|100 AcDbEntity|8 0|100 AcDbBlockBegin|2 *Model_Space|70 0|10 0.0|20 0.0|30 0.0|3 *Model_Space|1 
0 ENDBLK|5 +|100 AcDbEntity|8 0|100 AcDbBlockEnd
0 BLOCK|5 +|100 AcDbEntity|8 0|100 AcDbBlockBegin|2 *Paper_Space|70 0|10 0.0|20 0.0|30 0.0|3 *Paper_Space|1 
0 ENDBLK|5 +|100 AcDbEntity|8 0|100 AcDbBlockEnd
0 BLOCK|5 +|100 AcDbEntity|8 0|100 AcDbBlockBegin|2 *Paper_Space0|70 0|10 0.0|20 0.0|30 0.0|3 *Paper_Space0|1 
0 ENDBLK|5 +|100 AcDbEntity|8 0|100 AcDbBlockEnd
0 ENDSEC
0 SECTION|2 ENTITIES
{entities}
0 ENDSEC
0 SECTION|2 OBJECTS
0 DICTIONARY|5 {root}|100 AcDbDictionary|281 1|3 ACAD_GROUP|350 {groups}|3 ACAD_PLOTSTYLENAME|350 {styles}
0 ACDBDICTIONARYWDFLT|5 {styles}|102 {ACAD_REACTORS|330 {root}|102 }|330 {root}|100 AcDbDictionary|281 1|3 Normal|350 {style}|100 AcDbDictionaryWithDefault|340 {style}
0 ACDBPLACEHOLDER|5 {style}|102 {ACAD_REACTORS|330 {styles}|102 }|330 {styles}
0 DICTIONARY|5 {groups}|100 AcDbDictionary|281 1
0 ENDSEC
0 EOF`

// A skeletonKind is the skeleton of one kind of drawing of ours.
type skeletonKind struct {
	layers  []writtenLayer
	text    string // skeletonText with them and their mark
	handles handle // how many the skeleton has before the entities
}

var (
	partSkeleton = newSkeleton(writtenLayers, OwnMark, markNote)
	pathSkeleton = newSkeleton(pathLayers, PathsMark, pathsNote)
)

func newSkeleton(layers []writtenLayer, mark, about string) skeletonKind {
	text := strings.NewReplacer("{layers}", layerTable(layers, mark, about), "{mark}", mark, "{about}", about).Replace(skeletonText)
	return skeletonKind{layers, text, handle(strings.Count(text, "|5 +"))}
}

// layerTable is the table with layer 0 and ours, in the form of skeletonText.
func layerTable(layers []writtenLayer, mark, about string) string {
	b := &strings.Builder{}
	entry := func(name, lineType string, color int, mark string) {
		fmt.Fprintf(b, "\n0 LAYER|5 +|330 ^|100 AcDbSymbolTableRecord|100 AcDbLayerTableRecord|2 %s|70 0|62 %d|6 %s|370 -3|390 {style}%s", name, color, lineType, mark)
	}
	fmt.Fprintf(b, "0 TABLE|2 LAYER|5 +|100 AcDbSymbolTable|70 %d", 1+len(layers))
	entry("0", "Continuous", 7, "")
	for _, l := range layers {
		entry(l.name, mark, l.color, "|1001 "+mark+"|1000 "+about)
	}
	return b.String()
}

// parts returns what stands before and behind the entities: last is the handle
// of the last of them, box holds them all (drawing units).
func (k *skeletonKind) parts(out *Output, box geom.Box, last handle) (head, tail []byte) {
	if box.Empty() {
		box = geom.Box{}
	}
	metric := "1"
	if out.Imperial {
		metric = "0"
	}
	coord := func(v float64) string { return string(appendFloat(nil, roundTo(v, 8))) }
	root := last + 1 // two handles behind it stay free
	text := strings.NewReplacer(
		"{xmin}", coord(box.Min.X), "{ymin}", coord(box.Min.Y), "{xmax}", coord(box.Max.X), "{ymax}", coord(box.Max.Y),
		"{unit}", strconv.Itoa(out.InsUnits), "{metric}", metric,
		"{root}", root.String(), "{styles}", (root + 3).String(), "{style}", (root + 4).String(),
		"{groups}", (root + 5).String(), "{free}", (root + 6).String(),
	).Replace(k.text)
	before, behind, _ := strings.Cut(text, "{entities}\n")
	return skeletonGroups(before), skeletonGroups(behind + "\n")
}

// skeletonGroups returns the groups of a part of the skeleton.
func skeletonGroups(text string) []byte {
	var b []byte
	var last, table handle
	for line := range strings.Lines(text) {
		for g := range strings.SplitSeq(strings.TrimSuffix(line, "\n"), "|") {
			code, value, _ := strings.Cut(g, " ")
			switch value {
			case "+":
				last++
				value = last.String()
				if strings.HasPrefix(line, "0 TABLE") {
					table = last
				}
			case "^":
				value = table.String()
			}
			b = append(b, code+"\n"+value+"\n"...)
		}
	}
	return b
}
