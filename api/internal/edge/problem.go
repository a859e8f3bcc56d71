package edge

import (
	"net/http"

	"golang.org/x/text/language"

	"headtally/api/words"
	"headtally/domain"
)

// Problem is a refusal as its asker reads it (RFC 9457).
type Problem struct {
	Type     string  `json:"type"` // an address of this service that tells about the kind
	Title    string  `json:"title"`
	Status   int     `json:"status"`
	Detail   string  `json:"detail"`
	Request  string  `json:"request"`            // the name the log knows the request by
	Revision int64   `json:"revision,omitempty"` // stale: what the record's is now
	Errors   []Wrong `json:"errors,omitempty"`   // everything wrong with what was sent
}

// Wrong is one thing wrong with a request. One of the first four says where.
type Wrong struct {
	Pointer   string `json:"pointer,omitempty"`   // into the body: #/lines/3/cases; a missing member is named too
	Parameter string `json:"parameter,omitempty"` // of the address
	Header    string `json:"header,omitempty"`
	Place     string `json:"place,omitempty"` // in a sheet: sheet, row, column
	Code      string `json:"code"`
	Detail    string `json:"detail"`
}

// Wrongs puts faults of a part of a request into words.
func Wrongs(faults domain.Faults, in Part, s *words.Speech) []Wrong {
	list := make([]Wrong, len(faults))
	for i, f := range faults {
		w := Wrong{Code: f.Code, Detail: s.Fault(f)}
		switch in {
		case InQuery, InPath:
			w.Parameter = f.Place
		case InHeader:
			w.Header = f.Place
		case InSheet:
			w.Place = s.Place(f)
		default:
			w.Pointer = Pointer(f.Place)
		}
		list[i] = w
	}
	return list
}

var matcher = newMatcher()

func newMatcher() language.Matcher {
	tags := make([]language.Tag, len(words.Languages))
	for i, name := range words.Languages {
		tags[i] = language.MustParse(name)
	}
	return language.NewMatcher(tags)
}

// Speech speaks the language a request asks for (Accept-Language), English
// where it asks for none that there is.
func Speech(r *http.Request) *words.Speech {
	wanted, _, err := language.ParseAcceptLanguage(r.Header.Get("Accept-Language"))
	if err != nil {
		return words.In("")
	}
	_, i, _ := matcher.Match(wanted...)
	return words.In(words.Languages[i])
}
