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
	"headtally/api/words"
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
func (o *Office) Refuse(w http.ResponseWriter, r *http.Request, status int, told func(*words.Speech) edge.Problem) error {
	v, err := o.visit(echo.New().NewContext(r, w))
	if err != nil {
		http.Error(w, told(words.In("")).Title, status)
		return nil
	}
	if status == http.StatusUnauthorized && r.Method == http.MethodGet {
		http.Redirect(w, r, "/sign-in?back="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
		return nil
	}
	p := told(v.speech)
	view := RefusedView{Frame: v.frame("", p.Title)}
	view.Bare = status == http.StatusUnauthorized
	for _, e := range p.Errors {
		view.Lines = append(view.Lines, v.ofParameter(e.Parameter, e.Detail))
	}
	if len(view.Lines) == 0 {
		view.Lines = []string{sentence(p.Detail)}
	}
	return v.show(status, "refused", view)
}

// ofParameter is what is wrong with a parameter of the address, which it names;
// "" is none.
func (v *visit) ofParameter(name, wrong string) string {
	if name == "" {
		return sentence(wrong)
	}
	word := v.fieldWord(name)
	if code := "page.asked." + name; v.speech.Has(code) {
		word = v.say(code)
	}
	return sentence(word + ": " + wrong)
}

// refusal is what an error says to the person, a line a fault, each once.
func (v *visit) refusal(err error) []string {
	var bad *edge.Bad
	if errors.As(err, &bad) {
		var lines []string
		for _, f := range bad.Faults {
			lines = append(lines, v.ofParameter(f.Place, v.speech.Fault(f)))
		}
		return lines
	}
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
