package pages

import (
	"sync"

	"headtally/api/book"
)

// heldSheets is how many dropped sheets are kept as they were read. The files
// themselves lie in the book: one that is held no longer is read again.
const heldSheets = 4

// held keeps dropped sheets as they were read, by the book's ID of the file.
type held struct {
	mu     sync.Mutex
	order  []string
	sheets map[string]heldSheet
}

type heldSheet struct {
	name   string
	tables []book.Table
}

func (h *held) put(id string, s heldSheet) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.sheets == nil {
		h.sheets = map[string]heldSheet{}
	}
	if _, there := h.sheets[id]; !there {
		h.order = append(h.order, id)
	}
	h.sheets[id] = s
	if len(h.order) > heldSheets {
		delete(h.sheets, h.order[0])
		h.order = h.order[1:]
	}
}

func (h *held) get(id string) (heldSheet, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	s, there := h.sheets[id]
	return s, there
}

// heldSheet is the dropped sheet of the address.
func (v *visit) heldSheet() (heldSheet, error) {
	id := v.Param("id")
	if s, there := v.office.held.get(id); there {
		return s, nil
	}
	d, err := v.office.Book.DroppedSheet(v.ctx, v.who, id)
	if err != nil {
		return heldSheet{}, err
	}
	tables, err := v.office.Read(d.Name, d.Bytes)
	if err != nil {
		return heldSheet{}, err
	}
	s := heldSheet{d.Name, tables}
	v.office.held.put(id, s)
	return s, nil
}
