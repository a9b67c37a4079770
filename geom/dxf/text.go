package dxf

import (
	"bytes"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/korean"
	"golang.org/x/text/encoding/simplifiedchinese"
	"golang.org/x/text/encoding/traditionalchinese"
)

// decoder turns the bytes of texts into UTF-8: by the code page up to R2004
// (1252 if none is named), UTF-8 from R2007 (AC1021) on.
type decoder struct {
	utf8  bool
	named bool // a code page was named
	page  encoding.Encoding
}

// codePages by the number in $DWGCODEPAGE ("ANSI_1252", "dos437").
var codePages = map[string]encoding.Encoding{
	"437": charmap.CodePage437, "850": charmap.CodePage850, "852": charmap.CodePage852,
	"855": charmap.CodePage855, "860": charmap.CodePage860, "862": charmap.CodePage862,
	"863": charmap.CodePage863, "865": charmap.CodePage865, "866": charmap.CodePage866,
	"874": charmap.Windows874, "932": japanese.ShiftJIS, "936": simplifiedchinese.GBK,
	"949": korean.EUCKR, "950": traditionalchinese.Big5,
	"1250": charmap.Windows1250, "1251": charmap.Windows1251, "1252": charmap.Windows1252,
	"1253": charmap.Windows1253, "1254": charmap.Windows1254, "1255": charmap.Windows1255,
	"1256": charmap.Windows1256, "1257": charmap.Windows1257, "1258": charmap.Windows1258,
	"858": charmap.CodePage858, "1047": charmap.CodePage1047, "037": charmap.CodePage037,
	"GB2312": simplifiedchinese.GBK, "BIG5": traditionalchinese.Big5, "KSC5601": korean.EUCKR, "KOI8-R": charmap.KOI8R,
	"MACINTOSH": charmap.Macintosh, "MAC-ROMAN": charmap.Macintosh,
	"8859_3": charmap.ISO8859_3, "8859_4": charmap.ISO8859_4, "8859_6": charmap.ISO8859_6, "8859_8": charmap.ISO8859_8,
	"8859_1": charmap.ISO8859_1, "8859_2": charmap.ISO8859_2, "8859_5": charmap.ISO8859_5,
	"8859_7": charmap.ISO8859_7, "8859_9": charmap.ISO8859_9,
}

// multiPages by the digit of a \M+nXXXX escape (1 Japanese, 2 traditional
// Chinese, 3 Korean, 5 simplified Chinese; 4, Johab, is not to be had).
var multiPages = map[byte]encoding.Encoding{
	'1': japanese.ShiftJIS, '2': traditionalchinese.Big5, '3': korean.EUCKR, '5': simplifiedchinese.GBK,
}

// version takes $ACADVER.
func (d *decoder) version(v string) {
	if v >= "AC1021" && strings.HasPrefix(v, "AC") && len(v) == 6 {
		d.utf8 = true
	}
}

// codePage takes $DWGCODEPAGE.
func (d *decoder) codePage(name string) {
	name = strings.ToUpper(name)
	if strings.Contains(name, "UTF") {
		d.utf8 = true
		return
	}
	for _, p := range []string{"ANSI_", "DOS", "ISO", "CP"} {
		name = strings.TrimPrefix(name, p)
	}
	if e, ok := codePages[name]; ok {
		d.page, d.named = e, true
	}
}

// decode returns b as UTF-8 with its \U+XXXX and \M+nXXXX escapes resolved.
func (d *decoder) decode(b []byte) string {
	s := d.bytes(b)
	if strings.Contains(s, `\U+`) || strings.Contains(s, `\M+`) || strings.Contains(s, `\u+`) {
		s = unescape(s)
	}
	return s
}

func (d *decoder) bytes(b []byte) string {
	plain := true
	for _, c := range b {
		if c >= 0x80 {
			plain = false
			break
		}
	}
	// Programs of today write UTF-8 without saying so: text of another code
	// page is hardly ever valid UTF-8 by chance.
	if plain || (d.utf8 || !d.named) && utf8.Valid(b) {
		return string(b)
	}
	page := d.page
	if page == nil {
		page = charmap.Windows1252
	}
	out, err := page.NewDecoder().Bytes(b)
	if err != nil {
		return string(bytes.ToValidUTF8(b, []byte("\uFFFD")))
	}
	return string(out)
}

// unescape resolves \U+XXXX (UTF-16 units) and \M+nXXXX (two bytes of a
// double-byte code page).
func unescape(s string) string {
	var b strings.Builder
	var units []uint16
	flush := func() {
		for _, r := range utf16.Decode(units) {
			b.WriteRune(r)
		}
		units = units[:0]
	}
	for i := 0; i < len(s); {
		if s[i] == '\\' && i+7 <= len(s) && (s[i+1] == 'U' || s[i+1] == 'u') && s[i+2] == '+' {
			if v, err := strconv.ParseUint(s[i+3:i+7], 16, 16); err == nil {
				units = append(units, uint16(v))
				i += 7
				continue
			}
		}
		flush()
		if s[i] == '\\' && i+8 <= len(s) && s[i+1] == 'M' && s[i+2] == '+' {
			if v, err := strconv.ParseUint(s[i+4:i+8], 16, 16); err == nil {
				b.WriteString(doubleByte(s[i+3], uint16(v)))
				i += 8
				continue
			}
		}
		b.WriteByte(s[i])
		i++
	}
	flush()
	return b.String()
}

func doubleByte(page byte, v uint16) string {
	e, ok := multiPages[page]
	if !ok {
		return "\uFFFD"
	}
	raw := []byte{byte(v >> 8), byte(v)}
	if raw[0] == 0 {
		raw = raw[1:]
	}
	out, err := e.NewDecoder().Bytes(raw)
	if err != nil {
		return "\uFFFD"
	}
	return string(out)
}
