package prints

import (
	"embed"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The faces lie in the program, so that paper looks the same on every machine.
// Their licence is beside them.
//
//go:embed fonts/DejaVuSansCondensed.ttf fonts/DejaVuSansCondensed-Bold.ttf
var fontFiles embed.FS

// face is one weight of the letter: its file, and how wide each letter is.
type face struct {
	file   []byte
	widths map[rune]float64 // in thousandths of the letter size, as the PDF names them
}

type typeface struct{ regular, bold face }

var letters = sync.OnceValue(func() *typeface {
	return &typeface{loadFace("DejaVuSansCondensed.ttf"), loadFace("DejaVuSansCondensed-Bold.ttf")}
})

// loadFace reads one embedded face. A face that cannot be read is a fault of the
// program itself.
func loadFace(name string) face {
	file, err := fontFiles.ReadFile("fonts/" + name)
	if err != nil {
		panic("prints: " + err.Error())
	}
	f, err := sfnt.Parse(file)
	if err != nil {
		panic("prints: " + name + ": " + err.Error())
	}
	loaded := face{file: file, widths: map[rune]float64{}}
	var buf sfnt.Buffer
	for r := rune(' '); r < 0xfffe; r++ {
		if !writable(r) {
			continue
		}
		glyph, err := f.GlyphIndex(&buf, r)
		if err != nil || glyph == 0 {
			continue
		}
		// At 1000 pixels an em, an advance is the letter's width in thousandths.
		advance, err := f.GlyphAdvance(&buf, glyph, fixed.I(1000), font.HintingNone)
		if err == nil {
			loaded.widths[r] = float64(advance.Round())
		}
	}
	return loaded
}

// writable says whether a letter is of a script that is drawn right letter by
// letter from left to right: Latin, Greek, Cyrillic, and the signs and figures
// common to all. Scripts that join or turn their letters are not.
func writable(r rune) bool {
	return unicode.IsPrint(r) && unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Common)
}

// has says whether both weights hold a letter.
func (t *typeface) has(r rune) bool {
	_, regular := t.regular.widths[r]
	_, bold := t.bold.widths[r]
	return regular && bold
}

// style is a weight and a size in points.
type style struct {
	size float64
	bold bool
}

// width is how wide a text stands, in points.
func (s style) width(text string) (w float64) {
	widths := letters().regular.widths
	if s.bold {
		widths = letters().bold.widths
	}
	for _, r := range text {
		w += widths[r]
	}
	return w * s.size / 1000
}

// The face's own proportions, in parts of the letter size: a line is as high as
// its accents and tails need, and letters stand on a line below its top.
const (
	lineHeight = 1.18
	baseline   = 0.93
	capHeight  = 0.73
)

func (s style) line() float64 { return s.size * lineHeight }
