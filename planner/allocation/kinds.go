package allocation

import (
	"slices"
	"strconv"

	"headtally/domain"
	"headtally/domain/planning"
)

// menu is what cases of a product may hold for lines of one attitude: taking
// substitutes or not, and refusing some varieties.
type menu struct {
	*planning.Rules
	product     int
	substitutes bool
	refuse      []int // ascending
	makeable    bool  // a case could be made if heads were no matter
	heads       int   // of one case
	capped      map[int]bool
}

// bound is the varieties for which the cap can bind: their slots together take
// more heads than it allows.
func (m *menu) bound() map[int]bool {
	takes := map[int]int{}
	for s, choices := range m.Slots {
		for _, c := range choices {
			takes[c.Variety] += m.Heads[s]
		}
	}
	for v, heads := range takes {
		if heads <= m.Cap {
			delete(takes, v)
		}
	}
	bound := make(map[int]bool, len(takes))
	for v := range takes {
		bound[v] = true
	}
	return bound
}

// kind is what makes lines alike: all lines of one kind are one class. Menus
// are unique, so kinds can be compared.
type kind struct {
	menu     *menu
	pickup   domain.Day
	lead     int
	minShelf int
}

// menus holds every menu that was asked for once.
type menus struct {
	*planning.Book
	known map[menuName]*menu
}

type menuName struct {
	product     int
	substitutes bool
	refuse      string
}

func (ms *menus) menu(product int, substitutes bool, refuse []string) *menu {
	var varieties []int
	var name []byte
	if len(refuse) > 0 {
		for _, code := range refuse {
			varieties = append(varieties, ms.VarietyIx[code])
		}
		slices.Sort(varieties)
		for _, v := range varieties {
			name = append(strconv.AppendInt(name, int64(v), 10), ' ')
		}
	}
	key := menuName{product, substitutes, string(name)}
	if m := ms.known[key]; m != nil {
		return m
	}
	m := &menu{
		Rules:       ms.RulesFor(product, substitutes, varieties),
		product:     product,
		substitutes: substitutes,
		refuse:      varieties,
	}
	m.makeable, m.capped = m.CanBeMade(), m.bound()
	for _, h := range m.Heads {
		m.heads += h
	}
	ms.known[key] = m
	return m
}

// kindOf is the kind of a line; ask is granted as never.
func (ms *menus) kindOf(l *planning.Line) kind {
	yes := l.Substitutes == planning.SubstituteYes || l.Substitutes == ""
	return kind{ms.menu(ms.ProductIx[l.Product], yes, l.Refuse), l.Pickup, ms.Lead(l), l.MinShelfDays}
}

// offered is the kind a line would be of if it took substitutes.
func (ms *menus) offered(l *planning.Line) kind {
	return kind{ms.menu(ms.ProductIx[l.Product], true, l.Refuse), l.Pickup, ms.Lead(l), l.MinShelfDays}
}
