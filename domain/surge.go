package domain

// Surge is more (or less) than usual that the grower expects on the pickup days
// of a span: heads of a variety, cases of a product, or a percentage of what is
// listed, of one variety, one product or everything.
type Surge struct {
	ID      string `json:"id,omitempty" validate:"omitempty,code"`
	Name    string `json:"name,omitempty" validate:"max=80,line"`
	From    Day    `json:"from" validate:"required"`
	Until   Day    `json:"until,omitzero"` // none: From alone
	Variety string `json:"variety,omitempty"`
	Product string `json:"product,omitempty"`
	Heads   Heads  `json:"heads,omitempty" validate:"min=-1000000,max=1000000"` // on each pickup day of the span
	Cases   Cases  `json:"cases,omitempty" validate:"min=-1000000,max=1000000"`
	Percent int    `json:"percent,omitempty" validate:"min=-100,max=1000"`
	Note    string `json:"note,omitempty" validate:"max=200,line"`
}

// Check holds a surge against what the tags cannot say.
func (s *Surge) Check() Faults {
	faults := Check(s)
	if s.Until != 0 && s.Until < s.From {
		faults.Add("until", "before_from", "from", s.From)
	}
	told := 0
	for _, n := range []int{int(s.Heads), int(s.Cases), s.Percent} {
		if n != 0 {
			told++
		}
	}
	switch {
	case told != 1:
		faults.Add("heads", "one_figure")
	case s.Heads != 0 && s.Variety == "":
		faults.Add("variety", "required")
	case s.Cases != 0 && s.Product == "":
		faults.Add("product", "required")
	}
	if s.Variety != "" && s.Product != "" {
		faults.Add("product", "variety_or_product")
	}
	return faults
}

// Covers says whether a surge speaks of a day.
func (s *Surge) Covers(d Day) bool { return s.From <= d && d <= max(s.From, s.Until) }
