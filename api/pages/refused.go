package pages

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/internal/edge"
	"headtally/domain"
)

// RefusedView is the page for what cannot be shown or done.
type RefusedView struct {
	Frame
	Lines []string
}

// Refuse shows a refusal as a page. Who wants to read and is not known is asked
// to sign in and brought back; what was sent by somebody unknown is told so, for
// going back in the browser keeps what was typed.
func (o *Office) Refuse(w http.ResponseWriter, r *http.Request, p edge.Problem) error {
	v, err := o.visit(echo.New().NewContext(r, w))
	if err != nil {
		http.Error(w, p.Title, p.Status)
		return nil
	}
	if p.Status == http.StatusUnauthorized && r.Method == http.MethodGet {
		http.Redirect(w, r, "/sign-in?back="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
		return nil
	}
	view := RefusedView{Frame: v.frame("", p.Title)}
	view.Bare = p.Status == http.StatusUnauthorized
	for _, e := range p.Errors {
		view.Lines = append(view.Lines, sentence(e.Detail))
	}
	if len(view.Lines) == 0 {
		view.Lines = []string{sentence(p.Detail)}
	}
	return v.show(p.Status, "refused", view)
}

// refusal is what an error says to the person, a line a fault, each once.
func (v *visit) refusal(err error) []string {
	var faults domain.Faults
	if errors.As(err, &faults) {
		var lines []string
		for _, f := range faults {
			if line := sentence(v.speech.Fault(f)); !slices.Contains(lines, line) {
				lines = append(lines, line)
			}
		}
		return lines
	}
	var r *domain.Refusal
	if errors.As(err, &r) {
		return []string{sentence(v.speech.Refusal(r))}
	}
	return nil
}

// kind is the word for a kind of record.
func (v *visit) kind(name any) string {
	if code := "kind." + fmt.Sprint(name); v.speech.Has(code) {
		return v.say(code)
	}
	return fmt.Sprint(name)
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	first := []rune(s)
	out := strings.ToUpper(string(first[0])) + string(first[1:])
	if !strings.ContainsAny(out[len(out)-1:], ".!?") {
		out += "."
	}
	return out
}
