package packing

import "headtally/domain"

// hasTrays says whether the cooler has trays for heads of a lot from one
// morning until another, when they would have been lifted.
func (c *crew) hasTrays(lot int, from, until domain.Day, heads int) bool {
	trays := traysFor(heads, c.Varieties[c.Of[lot]].HeadsPerTray)
	for _, free := range c.freeTrays(from, until) {
		if free < trays {
			return false
		}
	}
	return true
}

// useTrays counts the trays of heads that were moved. They are counted as if no
// other head lay in them, and none lies elsewhere for it: an estimate that errs
// by a tray or two, where to lift all lots anew for every move would cost more
// than all else.
func (c *crew) useTrays(lot int, from, until domain.Day, heads int) {
	trays := traysFor(heads, c.Varieties[c.Of[lot]].HeadsPerTray)
	days := c.freeTrays(from, until)
	for i := range days {
		days[i] -= trays
	}
}

// freeTrays is the trays left on each day from one to before another. They are
// counted when first asked for, as most farms have no morning that is too full.
func (c *crew) freeTrays(from, until domain.Day) []int {
	if c.free == nil {
		var stays []stay
		for lot, needs := range c.needs {
			if len(needs) > 0 {
				_, held := c.liftAndHold(lot, needs)
				stays = append(stays, held...)
			}
		}
		c.free = c.traysOf(stays, c.PickupDays[len(c.PickupDays)-1])
		for i, used := range c.free {
			c.free[i] = c.Cooler.TraySpaces - used
		}
	}
	return c.free[from.Sub(c.AsOf):until.Sub(c.AsOf)]
}
