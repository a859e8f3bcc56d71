package book

import (
	"cmp"
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
	"headtally/planner/growth"
	"headtally/planner/sowing"
)

// growingShelves are the records about growing.
type growingShelves struct {
	Profiles Shelf[domain.Profile]
	Beds     Shelf[domain.Bed]
	Surges   Shelf[domain.Surge]
}

func (b *Book) shelveGrowing() {
	b.Profiles = Shelf[domain.Profile]{book: b, kind: store.Profiles, may: MayGrow,
		fill: func(tx *store.Tx, v *domain.Profile, taken func(string) bool) error {
			v.ID = cmp.Or(v.ID, numbered("G", tx, taken))
			return nil
		},
		check: func(tx *store.Tx, v, _ *domain.Profile) (domain.Faults, error) {
			faults := v.Check()
			return faults, known(tx, store.Varieties, &faults, "variety", v.Variety)
		}}
	b.Beds = Shelf[domain.Bed]{book: b, kind: store.Beds, may: MayGrow,
		fill: func(_ *store.Tx, v *domain.Bed, taken func(string) bool) error {
			v.Code = cmp.Or(v.Code, codeFor(v.Name, taken))
			return nil
		},
		check: func(_ *store.Tx, v, _ *domain.Bed) (domain.Faults, error) { return domain.Check(v), nil }}
	b.Surges = Shelf[domain.Surge]{book: b, kind: store.Surges, may: MayOrder,
		fill: func(tx *store.Tx, v *domain.Surge, taken func(string) bool) error {
			v.ID = cmp.Or(v.ID, numbered("U", tx, taken))
			return nil
		},
		check: checkSurge}
}

func checkSurge(tx *store.Tx, v, _ *domain.Surge) (domain.Faults, error) {
	faults := v.Check()
	if err := known(tx, store.Varieties, &faults, "variety", v.Variety); err != nil {
		return nil, err
	}
	err := known(tx, store.Products, &faults, "product", v.Product)
	return faults, err
}

// Growing is how the farm sows and grows; before any settings were stored they
// are the defaults at revision 0.
func (b *Book) Growing(ctx context.Context, who Person) (Record[domain.Growing], error) {
	if err := who.ask(MayRead); err != nil {
		return Record[domain.Growing]{}, err
	}
	return store.Read(ctx, b.store, (*store.Tx).Growing)
}

// SetGrowing changes how the farm sows and grows.
func (b *Book) SetGrowing(ctx context.Context, who Person, g domain.Growing, note Note) (Record[domain.Growing], error) {
	return b.changeGrowing(ctx, who, note, func(_ *store.Tx, now *domain.Growing) error {
		*now = g
		return nil
	})
}

// AgreeTable makes rows the farm's weekly sowing table.
func (b *Book) AgreeTable(ctx context.Context, who Person, rows []domain.SowRow, note Note) (Record[domain.Growing], error) {
	return b.changeGrowing(ctx, who, note, func(tx *store.Tx, now *domain.Growing) error {
		now.Table, now.TableAt = rows, tx.Now
		now.TableFrom = domain.DayOf(tx.Now)
		return nil
	})
}

// Trust says whether the learned figures of a variety are used, once it has
// enough finished batches.
func (b *Book) Trust(ctx context.Context, who Person, variety string, yes bool, note Note) (Record[domain.Growing], error) {
	return b.changeGrowing(ctx, who, note, func(tx *store.Tx, now *domain.Growing) error {
		if _, err := store.Varieties.Get(tx, variety); err != nil {
			return err
		}
		now.Learned = slices.DeleteFunc(slices.Clone(now.Learned), func(v string) bool { return v == variety })
		if yes {
			now.Learned = append(now.Learned, variety)
		}
		return nil
	})
}

func (b *Book) changeGrowing(ctx context.Context, who Person, note Note, change func(tx *store.Tx, now *domain.Growing) error) (Record[domain.Growing], error) {
	if err := who.ask(MayGrow); err != nil {
		return Record[domain.Growing]{}, err
	}
	if note.Base == NoBase {
		return Record[domain.Growing]{}, domain.Refuse(domain.ErrNoMatch, store.Growing.Name, "growing")
	}
	return store.Write(ctx, b.store, who.act(note), func(tx *store.Tx) (Record[domain.Growing], error) {
		was, err := tx.Growing()
		if err != nil {
			return was, err
		}
		if was.Rev != note.Base {
			return was, domain.Refuse(domain.ErrStale, store.Growing.Name, "growing", "revision", was.Rev)
		}
		now := was.Value
		if err := change(tx, &now); err != nil {
			return was, err
		}
		if err := checkGrowing(tx, &now); err != nil {
			return was, err
		}
		if was.Rev == 0 {
			return store.Growing.Create(tx, now)
		}
		return store.Growing.Replace(tx, now, note.Base)
	})
}

func checkGrowing(tx *store.Tx, g *domain.Growing) error {
	faults := g.Check()
	for i, code := range g.Learned {
		if err := known(tx, store.Varieties, &faults, place("learned", i), code); err != nil {
			return err
		}
	}
	for i, r := range g.Table {
		if err := known(tx, store.Varieties, &faults, place("table", i)+".variety", r.Variety); err != nil {
			return err
		}
	}
	return faults.Err()
}

// SowingTable says what to sow as of a day.
func (b *Book) SowingTable(ctx context.Context, who Person, asOf domain.Day) (*sowing.Table, error) {
	return sowingHouse(ctx, b, who, asOf, func(h *sowing.House, _ *domain.Facts) (*sowing.Table, error) { return sowing.Plan(h), nil })
}

// SowingCovers is what trays sown of each variety on a day would cover.
func (b *Book) SowingCovers(ctx context.Context, who Person, asOf, day domain.Day, trays map[string]int) ([]sowing.Cover, error) {
	return sowingHouse(ctx, b, who, asOf, func(h *sowing.House, f *domain.Facts) ([]sowing.Cover, error) {
		var faults domain.Faults
		if day < asOf {
			faults.Add("day", "before_from", "from", asOf)
		}
		for code, n := range trays {
			if !slices.ContainsFunc(f.Varieties, func(v domain.Variety) bool { return v.Code == code }) {
				faults.Add("trays", "unknown", "what", store.Varieties.Name, "value", code)
			} else if n < 0 || n > 10000 {
				faults.Add("trays", "between", "min", 0, "max", 10000)
			}
		}
		if faults != nil {
			return nil, faults
		}
		return h.Covers(day, trays), nil
	})
}

// SurgeAsks is what a surge that is not on the book would ask for: trays extra
// and the day after which it is too late, for each variety and pickup day.
func (b *Book) SurgeAsks(ctx context.Context, who Person, asOf domain.Day, s domain.Surge) ([]sowing.Answer, error) {
	return sowingHouse(ctx, b, who, asOf, func(h *sowing.House, f *domain.Facts) ([]sowing.Answer, error) {
		if err := s.Check().Err(); err != nil {
			return nil, err
		}
		var answers []sowing.Answer
		for _, one := range planner.SurgeDays(h, f, s) {
			answers = append(answers, h.Extra(one))
		}
		return answers, nil
	})
}

// sowingHouse is what a sowing table is made from, with the orders of the weeks
// before.
func sowingHouse[T any](ctx context.Context, b *Book, who Person, asOf domain.Day, say func(h *sowing.House, f *domain.Facts) (T, error)) (none T, err error) {
	if err := who.ask(MayRead); err != nil {
		return none, err
	}
	facts, err := store.Read(ctx, b.store, func(tx *store.Tx) (domain.Facts, error) {
		return tx.Facts(asOf.Add(-7 * planner.UsualWeeks))
	})
	if err != nil {
		return none, err
	}
	return say(planner.SowingHouse(&facts, asOf), &facts)
}

// MostWeeks is how many weeks an outlook can look ahead.
const MostWeeks = 26

// LookAhead is the pickup days of the next weeks by variety, with the sowings
// that would still mend a shortage. Nothing is promised from it.
func (b *Book) LookAhead(ctx context.Context, who Person, asOf domain.Day, weeks int) (*planner.Outlook, error) {
	if weeks < 1 || weeks > MostWeeks {
		return nil, domain.Faults{{Place: "weeks", Code: "between", Args: map[string]any{"min": 1, "max": MostWeeks}}}
	}
	return reading(ctx, b, who, asOf, func(f *domain.Facts) (*planner.Outlook, error) { return planner.LookAhead(f, asOf, weeks), nil })
}

// OutlookCell is what lies behind one variety's pickup day of LookAhead.
func (b *Book) OutlookCell(ctx context.Context, who Person, asOf domain.Day, weeks int, variety string, pickup domain.Day) (*planner.Behind, error) {
	if _, err := b.Varieties.Get(ctx, who, variety); err != nil {
		return nil, err
	}
	o, err := b.LookAhead(ctx, who, asOf, weeks)
	if err != nil {
		return nil, err
	}
	if pickup < o.AsOf || pickup > o.Last {
		return nil, domain.Refuse(domain.ErrNotFound, "pickup day", pickup.String())
	}
	behind := o.Behind(variety, pickup)
	return &behind, nil
}

// House is what stands where as of a day.
func (b *Book) House(ctx context.Context, who Person, asOf domain.Day) (*planner.House, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*planner.House, error) {
		facts, w, err := b.weekWithFacts(tx, asOf)
		if err != nil {
			return nil, err
		}
		return planner.HouseOf(facts, w), nil
	})
}

// GrowingWent is how growing went: each variety's months against what was told,
// and how far projections of past batches were off.
type GrowingWent struct {
	Went []growth.Went
	Sure []growth.Trust
}

// HowItWent is how growing went, as of a day.
func (b *Book) HowItWent(ctx context.Context, who Person, asOf domain.Day) (*GrowingWent, error) {
	return reading(ctx, b, who, asOf, func(f *domain.Facts) (*GrowingWent, error) {
		return &GrowingWent{growth.HowItWent(f, asOf), growth.HowSure(f, asOf)}, nil
	})
}
