package sheets

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"path"
	"strings"

	"headtally/domain"
)

// parts is the parts of a workbook, every one of them inflated once within the
// limits and found whole: a reader of workbooks gives the first rows of a
// damaged sheet without a word, and inflates whatever it is sent.
type parts struct {
	name   string
	byName map[string]*zip.File // by the name in lower case, as part names compare
	broken map[string]error     // those whose bytes do not agree with their checksum
}

// openParts opens a workbook's parts. A part that is too large or stands twice
// refuses the file; a damaged one is kept in broken, to be named by its sheet.
func openParts(name string, data []byte, o Limits) (*parts, error) {
	file := ofFile(name)
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fault(file, "workbook_cut_off")
	}
	if len(archive.File) > o.Parts {
		return nil, fault(file, "too_many_parts", "limit", o.Parts)
	}
	p := &parts{name: name, byName: map[string]*zip.File{}, broken: map[string]error{}}
	var total int64
	for _, f := range archive.File {
		key := partKey(f.Name)
		if p.byName[key] != nil {
			return nil, fault(file, "part_twice", "part", f.Name)
		}
		p.byName[key] = f
		n, err := inflate(f, min(int64(o.PartBytes), int64(o.TotalBytes)-total))
		total += n
		switch {
		case errors.Is(err, errPartTooLarge) && total > int64(o.TotalBytes):
			return nil, fault(file, "workbook_too_large", "limit", o.TotalBytes>>20)
		case errors.Is(err, errPartTooLarge):
			return nil, fault(file, "part_too_large", "part", f.Name, "limit", o.PartBytes>>20)
		case err != nil:
			p.broken[key] = err
		}
	}
	return p, nil
}

var errPartTooLarge = errors.New("part too large")

// inflate reads a part to its end, where its checksum is held against it, and
// gives its length; beyond most it stops.
func inflate(f *zip.File, most int64) (int64, error) {
	r, err := f.Open()
	if err != nil {
		return 0, err
	}
	defer r.Close()
	n, err := io.Copy(io.Discard, io.LimitReader(r, most+1))
	if n > most {
		return n, errPartTooLarge
	}
	return n, err
}

// open gives a part to be read; where it is damaged or missing the fault is at
// place.
func (p *parts) open(part string, place domain.SheetPlace) (io.ReadCloser, error) {
	key := partKey(part)
	f := p.byName[key]
	if f == nil {
		return nil, fault(place, "part_missing", "part", part)
	}
	if p.broken[key] != nil {
		return nil, fault(place, "part_damaged", "part", part)
	}
	return f.Open()
}

func (p *parts) has(part string) bool { return p.byName[partKey(part)] != nil }

// anyBroken refuses a workbook with a damaged part that was not read for its
// tables: what else is wrong with such a file nobody knows.
func (p *parts) anyBroken() error {
	var faults domain.Faults
	for key := range p.broken {
		if f := fault(ofFile(p.name), "part_damaged", "part", p.byName[key].Name); faults == nil || f[0].Args["part"].(string) < faults[0].Args["part"].(string) {
			faults = f
		}
	}
	return faults.Err()
}

func partKey(name string) string {
	return strings.ToLower(strings.TrimPrefix(path.Clean("/"+strings.ReplaceAll(name, `\`, "/")), "/"))
}
