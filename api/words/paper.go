package words

import (
	"slices"
	"strings"

	"headtally/domain"
)

// Paper is what a paper of a packing day is called, by the name it is drawn and
// kept under: "harvest", or of a pickup or a truck such as "pack-list.2027-03-02"
// and "load.2027-03-02.VAN". A name that is none is given as it is.
func (s *Speech) Paper(name string, carriers []domain.Carrier) string {
	kind, of, dated := strings.Cut(name, ".")
	if !s.Has("rack." + kind) {
		return name
	}
	title := s.Say("rack." + kind)
	if !dated {
		return title
	}
	date, truck, more := strings.Cut(of, ".")
	if day, err := domain.ParseDay(date); err == nil {
		date = s.ShortDay(day)
	}
	title += ", " + date
	if !more {
		return title
	}
	if i := slices.IndexFunc(carriers, func(c domain.Carrier) bool { return c.Code == truck }); i >= 0 {
		truck = carriers[i].Name
	}
	return title + ", " + truck
}
