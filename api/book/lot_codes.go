package book

import (
	"slices"
	"strconv"

	"headtally/domain"
)

// traceCode is the traceability lot code of a packing day's nth run: the year's
// last digits, the day of the year, and the run, such as 27063-02. (Common
// practice in the trade; the rule asks only that it is unique at its source.)
func traceCode(day domain.Day, nth int) string {
	year, _, _ := day.Date()
	return pad2(year%100) + pad3(day.Time().YearDay()) + "-" + pad2(nth)
}

func pad2(n int) string { return strconv.Itoa(100 + n)[1:] }
func pad3(n int) string { return strconv.Itoa(1000 + n)[1:] }

// giveCodes gives a packing day's planned runs their codes. A run that was
// printed before keeps the code on its labels; others get the next that was
// neither printed nor packed that day, so that a code is given once.
func giveCodes(f *domain.Facts, day domain.Day, runs []domain.PackedRun) {
	taken := map[string]bool{}
	for _, p := range f.Packings {
		for _, r := range p.Runs {
			taken[r.Trace] = true
		}
	}
	printed := printedRuns(f, day)
	for i := range runs {
		for _, p := range printed {
			if runs[i].Trace == "" && !taken[p.Trace] && sameRun(&p, &runs[i]) {
				runs[i].Trace, taken[p.Trace] = p.Trace, true
			}
		}
	}
	for _, p := range printed {
		taken[p.Trace] = true
	}
	n := 0
	for i := range runs {
		for runs[i].Trace == "" {
			n++
			if code := traceCode(day, n); !taken[code] {
				runs[i].Trace = code
			}
		}
	}
}

// printedRuns are the runs of a day's issues, those of the last first.
func printedRuns(f *domain.Facts, day domain.Day) (runs []domain.PackedRun) {
	var issues []domain.Issue
	for _, x := range f.Issues {
		if x.Day == day {
			issues = append(issues, x)
		}
	}
	slices.SortFunc(issues, func(a, b domain.Issue) int { return b.Number - a.Number })
	for _, x := range issues {
		runs = append(runs, x.Runs...)
	}
	return runs
}

// sameRun says whether two runs are the same cases for the same pickup.
func sameRun(a, b *domain.PackedRun) bool {
	return a.Pickup == b.Pickup && a.Product == b.Product && slices.Equal(a.Contents, b.Contents)
}
