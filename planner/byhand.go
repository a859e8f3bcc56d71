package planner

import (
	"slices"
	"strconv"

	"headtally/domain"
	"headtally/domain/planning"
)

// byHand is what persons typed over, and how it stands in the planner's
// document: as products of their own, each with one variety a slot. Whoever
// reads the plan sees the farm's products and lines.
//
// Cases packed for a line belong to it whatever they hold. Those that are no
// case of the product that its line is packed to now stand there as a line of
// their own, a part of it, which asks for no more than them. A part and the rest
// take turns as two lines would.
type byHand struct {
	on    map[domain.Day]map[string]*exact // by pickup day and the farm's product
	of    map[string]*exact                // by the product's code in the document
	parts map[string]string                // id of a part -> id of its line
}

// asTyped is a problem with the recipes that persons typed over for its days.
// Without any it is the problem itself.
func asTyped(f *domain.Facts, p *planning.Problem) (*planning.Problem, *byHand) {
	h := &byHand{on: map[domain.Day]map[string]*exact{}, of: map[string]*exact{}, parts: map[string]string{}}
	typed := *p
	typed.Products, typed.Lines, typed.Packed = slices.Clone(p.Products), slices.Clone(p.Lines), slices.Clone(p.Packed)
	for _, r := range f.Recipes {
		i := slices.IndexFunc(p.Products, func(x planning.Product) bool { return x.Code == r.Product })
		if _, planned := slices.BinarySearch(p.PickupDays, r.Pickup); !planned || i < 0 || !grown(p, r.Contents) {
			continue
		}
		if h.on[r.Pickup] == nil {
			h.on[r.Pickup] = map[string]*exact{}
		}
		x := h.add(&typed, &p.Products[i], r.Product+" by hand "+r.Pickup.String(), planning.ContentsOf(r.Contents))
		x.recipe = true
		h.on[r.Pickup][r.Product] = x
	}
	for i := range typed.Lines {
		typed.Lines[i].Product = h.product(typed.Lines[i].Product, typed.Lines[i].Pickup)
	}
	h.packedForLines(&typed, p)
	h.spare(&typed)
	if len(h.of)+len(h.parts) == 0 {
		return p, h
	}
	return &typed, h
}

// grown says whether the farm has the varieties still.
func grown(p *planning.Problem, contents []domain.VarietyHeads) bool {
	return !slices.ContainsFunc(contents, func(c domain.VarietyHeads) bool {
		return !slices.ContainsFunc(p.Varieties, func(v planning.Variety) bool { return v.Code == c.Variety })
	})
}

// add puts a product with exactly these contents into the document, once. The
// farm's cap is left out: the person who typed knows it.
func (h *byHand) add(p *planning.Problem, product *planning.Product, code string, contents []planning.VarietyHeads) *exact {
	if x := h.of[code]; x != nil {
		return x
	}
	x := &exact{code: code, product: product, contents: contents}
	own := planning.Product{Code: code, Name: product.Name}
	for _, c := range contents {
		own.Slots = append(own.Slots, planning.Slot{Heads: c.Heads, Accept: []string{c.Variety}})
	}
	x.slots, x.places = placed(product, contents)
	p.Products = append(p.Products, own)
	h.of[code] = x
	return x
}

// product is the code in the document of the farm's product on a pickup day.
func (h *byHand) product(code string, pickup domain.Day) string {
	if x := h.on[pickup][code]; x != nil {
		return x.code
	}
	return code
}

// packedForLines gives cases that were packed for a line the product by which
// they are cases of it.
func (h *byHand) packedForLines(typed, p *planning.Problem) {
	at := map[string]int{}
	for i := range p.Lines {
		at[p.Lines[i].ID] = i
	}
	products := map[string]*planning.Product{}
	for i := range p.Products {
		products[p.Products[i].Code] = &p.Products[i]
	}
	for k := range typed.Packed {
		packed := &typed.Packed[k]
		i, theirs := at[packed.Line]
		if !theirs {
			continue
		}
		line, product := &typed.Lines[i], products[packed.Product]
		x := h.of[line.Product]
		switch whole := product.IsCase(packed.Contents); {
		case x == nil && whole:
		case x != nil && sameHeads(x.contents, packed.Contents):
			packed.Product = x.code
		case whole:
			h.part(typed, line, packed, product.Code)
		case allHeads(packed.Contents) == slotHeads(product):
			as := h.add(typed, product, product.Code+" as packed "+packed.Code, packed.Contents)
			h.part(typed, line, packed, as.code)
		default:
			packed.Product = line.Product // no case of anything: nobody takes it
		}
	}
}

// part makes packed cases a line of their own, as far as their line asks for
// them. The line itself must not be used after it: the list may have moved.
func (h *byHand) part(typed *planning.Problem, line *planning.Line, packed *planning.Packed, product string) {
	asked := line.Asked()
	n := min(packed.Cases, asked)
	part := *line
	part.ID = line.ID + "/packed" + strconv.Itoa(len(h.parts)+1)
	part.Product, part.Cases, part.AtMost, part.AllOrNone = product, n, nil, false
	part.Promised = min(n, line.Promised)
	line.Cases -= n
	if line.AtMost != nil {
		line.AtMost = new(asked - n)
	}
	if line.AllOrNone && line.Promised > 0 {
		part.Promised, line.Promised = n, max(1, line.Promised-n) // a word of all stays a word of all
	} else {
		line.Promised -= part.Promised
	}
	packed.Line, packed.Product = part.ID, product
	h.parts[part.ID] = line.ID
	typed.Lines = append(typed.Lines, part)
}

// spare gives spare cases that hold just what a day's recipe says to that day,
// the earliest first, as long as its lines ask for more than was packed for them.
func (h *byHand) spare(typed *planning.Problem) {
	wanted := map[string]int{}
	for i := range typed.Lines {
		l := &typed.Lines[i]
		wanted[l.Product] += l.Asked()
	}
	for _, k := range typed.Packed {
		if k.Line != "" {
			wanted[k.Product] -= k.Cases
		}
	}
	for i := range typed.Packed {
		k := &typed.Packed[i]
		if k.Line != "" {
			continue
		}
		for _, day := range typed.PickupDays {
			if x := h.on[day][k.Product]; x != nil && wanted[x.code] > 0 && sameHeads(x.contents, k.Contents) {
				wanted[x.code] -= k.Cases
				k.Product = x.code
				break
			}
		}
	}
}
