package v1

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"strings"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// The kinds of body a file may be sent as: the file itself, or a form with it.
var fileTypes = []string{
	"text/csv",
	"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
	"application/octet-stream",
	"multipart/form-data",
}

// upload is a file as it was sent, and what was said of it beside the address.
type upload struct {
	name    string
	data    []byte
	options []byte // a JSON document, in the part options of a form
}

// readUpload reads the body as a file. Its name is that of the address, else of
// the form, else nothing better is known.
func readUpload(a *edge.Ask, name string) (upload, error) {
	body, err := a.Body(fileTypes...)
	if err != nil {
		return upload{}, err
	}
	u := upload{data: body}
	if kind, params, _ := mime.ParseMediaType(a.Header.Get("Content-Type")); kind == "multipart/form-data" {
		if u, err = readForm(body, params["boundary"]); err != nil {
			return upload{}, err
		}
	}
	switch {
	case name != "":
		u.name = name
	case u.name == "":
		u.name = "sheet"
	}
	return u, nil
}

// readForm reads a form with the parts file and, if told, options.
func readForm(body []byte, boundary string) (u upload, err error) {
	wrong := &edge.Bad{Kind: edge.ErrMalformed, In: edge.InBody}
	form := multipart.NewReader(bytes.NewReader(body), boundary)
	seen := map[string]bool{}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			wrong.Faults.Add("", "form")
			return u, wrong
		}
		text, err := io.ReadAll(part)
		name := part.FormName()
		switch {
		case err != nil:
			wrong.Faults.Add("", "form")
		case seen[name]:
			wrong.Faults.Add(name, "given_twice")
		case name == "file":
			u.name, u.data = plainName(part.FileName()), text
		case name == "options":
			u.options = text
		default:
			wrong.Faults.Add(name, "unknown_part", "allowed", []string{"file", "options"})
		}
		seen[name] = true
	}
	if !seen["file"] {
		wrong.Faults.Add("file", "required")
	}
	if wrong.Faults != nil {
		return u, wrong
	}
	return u, nil
}

// plainName is a file's name as it can be shown: one line, not too long. It is
// never a path: nothing is stored under it.
func plainName(name string) string {
	name = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, strings.ToValidUTF8(name, ""))
	if letters := []rune(name); len(letters) > 100 {
		name = string(letters[:100])
	}
	return name
}

// print stands for the file among what a request says.
func (u *upload) print() string {
	sum := sha256.Sum256(u.data)
	return hex.EncodeToString(sum[:])
}

// tables reads a file's tables. What is wrong with it has places in the file.
func (f *Face) tables(u upload) ([]book.Table, domain.Faults, error) {
	tables, notes, err := f.ReadSheets(u.name, u.data)
	return tables, notes, inSheet(err)
}

// inSheet says of faults that their places are those of a sheet.
func inSheet(err error) error {
	var faults domain.Faults
	if errors.As(err, &faults) {
		return &edge.Bad{Kind: domain.ErrInvalid, In: edge.InSheet, Faults: faults}
	}
	return err
}

// previewed reads the revision of the preview that is to be taken. It must be
// named also where the file was taken before and nothing will change.
func (f *Face) previewed(a *edge.Ask, name string) (int64, error) {
	rev, err := a.Base(func() (int64, error) { return f.Book.Revision(a.Context()) })
	if err == nil && rev == book.NoBase {
		err = domain.Refuse(domain.ErrNoMatch, "sheet", name)
	}
	return rev, err
}

// preview answers with what taking a file would do, tagged with the revision
// that taking it must name.
func preview(rev int64, doc any) (*edge.Answer, error) {
	answer, err := edge.JSON(http.StatusOK, doc)
	if err != nil {
		return nil, err
	}
	return answer.With("ETag", edge.Tag(rev)), nil
}
