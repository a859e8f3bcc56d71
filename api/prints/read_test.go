package prints

import (
	"bytes"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain/tried"
)

// seenWord is a word as it stands on a page read back.
type seenWord struct {
	XMin float64 `xml:"xMin,attr"`
	YMin float64 `xml:"yMin,attr"`
	XMax float64 `xml:"xMax,attr"`
	YMax float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

func (w seenWord) tall() float64 { return w.YMax - w.YMin }

// seenPage is a page read back.
type seenPage struct {
	Width  float64    `xml:"width,attr"`
	Height float64    `xml:"height,attr"`
	Words  []seenWord `xml:"word"`
}

// file writes a paper into a folder of the test's.
func file(t *testing.T, p *Paper) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, p.PDF(&b))
	path := filepath.Join(t.TempDir(), "paper.pdf")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	return path
}

// readBack gives the pages of a paper as another program finds them in its PDF.
func readBack(t *testing.T, p *Paper) []seenPage {
	t.Helper()
	pdftotext := tried.With(t, "pdftotext")
	out, err := exec.Command(pdftotext, "-bbox", file(t, p), "-").Output()
	require.NoError(t, err)
	var doc struct {
		Pages []seenPage `xml:"body>doc>page"`
	}
	decoder := xml.NewDecoder(bytes.NewReader(out))
	decoder.Strict = false
	decoder.Entity = xml.HTMLEntity
	require.NoError(t, decoder.Decode(&doc))
	require.Len(t, doc.Pages, p.Pages())
	return doc.Pages
}

// readText gives a paper's text in the order in which it was written, a page a
// string, with white space made single.
func readText(t *testing.T, p *Paper) (pages []string) {
	t.Helper()
	pdftotext := tried.With(t, "pdftotext")
	out, err := exec.Command(pdftotext, "-raw", file(t, p), "-").Output()
	require.NoError(t, err)
	for _, page := range strings.Split(strings.TrimSuffix(string(out), "\f"), "\f") {
		pages = append(pages, strings.Join(strings.Fields(page), " "))
	}
	return pages
}

// wholeText is readText of all pages together.
func wholeText(t *testing.T, p *Paper) string {
	t.Helper()
	return strings.Join(readText(t, p), " ")
}

// sized are the words of a page of at least a letter size, in the order of the
// file. perPoint is the height of a word a point of letter, as the reader
// measures it.
func (s seenPage) sized(points, perPoint float64) (words []seenWord) {
	for _, w := range s.Words {
		if w.tall()/perPoint > points-0.3 {
			words = append(words, w)
		}
	}
	return words
}

// overlap says whether two words stand over each other, beyond the hair by which
// lines set close may touch.
func overlap(a, b seenWord) bool {
	const hair = 1.0
	return a.XMin < b.XMax-hair && b.XMin < a.XMax-hair && a.YMin < b.YMax-hair && b.YMin < a.YMax-hair
}
