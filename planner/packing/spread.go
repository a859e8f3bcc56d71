package packing

import "headtally/domain"

// move is heads of a lot lifted on an earlier day than the lines' own.
type move struct {
	from  domain.Day
	heads int
	why   string
}

func (h *harvest) spread() {}
