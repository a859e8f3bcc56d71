package pages

import (
	"errors"
	"net/url"
	"slices"

	"headtally/api/book"
	"headtally/domain"
)

// RecipeForm is the boxes in which a product's recipe is typed over: the heads
// of each variety in a case.
type RecipeForm struct {
	Case    int // heads that a case holds
	Sum     int // heads that are typed
	Rows    []RecipeBox
	Others  []RecipeBox // varieties that the product does not list
	Base    int64
	Printed int // number of the paper that says what is packed; 0: none
	Open    bool
	Typed   bool // a recipe by hand stands
	Wrong   []string
	Stale   bool
}

// RecipeBox is one variety of the form.
type RecipeBox struct {
	Code, Name string
	Value      string
	Fault      string
}

// newRecipeForm holds the recipe by hand, else the one that most cases are
// planned to: what is typed over starts from what stands.
func newRecipeForm(p *book.ProductRecipe, varieties []domain.Variety) RecipeForm {
	f := RecipeForm{Case: int(p.Product.HeadsPerCase()), Base: p.Typed.Rev, Typed: p.Stands(), Open: p.Stands()}
	if p.Printed != nil {
		f.Printed = p.Printed.Number
	}
	heads := map[string]int{}
	if p.Stands() {
		for _, c := range p.Typed.Value.Contents {
			heads[c.Variety] = int(c.Heads)
		}
	} else if len(p.Runs) > 0 {
		most := p.Runs[0]
		for _, r := range p.Runs {
			if r.Cases > most.Cases {
				most = r
			}
		}
		for _, c := range most.Contents {
			heads[c.Variety] = c.Heads
		}
	}
	for _, x := range varieties {
		box := RecipeBox{Code: x.Code, Name: x.Name, Value: blankZero(heads[x.Code])}
		f.Sum += heads[x.Code]
		listed := slices.ContainsFunc(p.Product.Slots, func(s domain.Slot) bool { return slices.Contains(s.Accept, x.Code) })
		if listed || heads[x.Code] > 0 {
			f.Rows = append(f.Rows, box)
		} else {
			f.Others = append(f.Others, box)
		}
	}
	return f
}

// typeRecipe types a recipe over, or goes back to the planned one.
func (v *visit) typeRecipe() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	product := r.text("product")
	base := v.revision("base")
	note := v.noteOn(base)
	said := "recipe"
	if r.Has("clear") {
		said = "recipecleared"
		_, err = v.office.Book.ClearRecipe(v.ctx, v.who, product, day, note)
	} else {
		typed := domain.Recipe{Product: product, Pickup: day, Contents: r.heads(), Note: ""}
		if err = r.faults.Err(); err == nil {
			_, err = v.office.Book.TypeRecipe(v.ctx, v.who, v.today, typed, note)
			err = atBoxes(err, typed)
		}
	}
	if err == nil {
		return v.done("/recipe/"+day.String()+"#p-"+url.PathEscape(product), said)
	}
	return v.recipeAgain(day, product, r.Values, err)
}

// heads reads the boxes in the order of the form; empty ones hold nothing.
func (r *reader) heads() (contents []domain.VarietyHeads) {
	for _, code := range r.Values["variety"] {
		if n := r.maybe(boxName(code)); n != nil && *n != 0 {
			contents = append(contents, domain.VarietyHeads{Variety: code, Heads: domain.Heads(*n)})
		}
	}
	return contents
}

// boxName is the name of a variety's box, and the place of its faults.
func boxName(variety string) string { return "heads[" + variety + "]" }

// atBoxes puts faults of a recipe's contents to the boxes they were typed in.
func atBoxes(err error, typed domain.Recipe) error {
	var faults domain.Faults
	if !errors.As(err, &faults) {
		return err
	}
	for i := range faults {
		for k, c := range typed.Contents {
			if at := row("contents", k, ""); faults[i].Place == at+"heads" || faults[i].Place == at+"variety" {
				faults[i].Place = boxName(c.Variety)
			}
		}
	}
	return faults
}

// recipeAgain shows the page with what was typed, and what is wrong with it.
func (v *visit) recipeAgain(day domain.Day, product string, typed url.Values, wrong error) error {
	status, lines := v.formStatus(wrong)
	if status == 0 {
		return wrong
	}
	view, err := v.recipeView(day)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(view.Products, func(p RecipeProduct) bool { return p.Code == product })
	if at < 0 {
		return wrong
	}
	f := &view.Products[at].Form
	f.Open, f.Sum, f.Stale = true, 0, errors.Is(wrong, domain.ErrStale)
	f.keep(v, f.Rows, typed)
	f.keep(v, f.Others, typed)
	f.Wrong = lines
	if errors.Is(wrong, domain.ErrInvalid) {
		f.Wrong = f.mind(v, wrong)
	}
	view.Wrong = []string{v.say("page.recipe.notchanged", "product", view.Products[at].Name)}
	return v.show(status, "recipe", view)
}

// keep puts what was typed back into the boxes.
func (f *RecipeForm) keep(v *visit, boxes []RecipeBox, typed url.Values) {
	for i := range boxes {
		boxes[i].Value = typed.Get(boxName(boxes[i].Code))
		f.Sum += max(0, whole(boxes[i].Value))
	}
}

// mind puts faults to their boxes, and gives those that concern the whole.
func (f *RecipeForm) mind(v *visit, wrong error) (rest []string) {
	var faults domain.Faults
	if !errors.As(wrong, &faults) {
		return nil
	}
	for _, fault := range faults {
		said := sentence(v.speech.Fault(fault))
		box := f.box(fault.Place)
		if box == nil {
			rest = append(rest, said)
			continue
		}
		box.Fault = said
	}
	return rest
}

// OthersTyped says whether something was typed for varieties that the product
// does not list.
func (f RecipeForm) OthersTyped() bool {
	return slices.ContainsFunc(f.Others, func(b RecipeBox) bool { return b.Value != "" })
}

func (f *RecipeForm) box(place string) *RecipeBox {
	for _, list := range [][]RecipeBox{f.Rows, f.Others} {
		for i := range list {
			if boxName(list[i].Code) == place {
				return &list[i]
			}
		}
	}
	return nil
}
