package planning

import "strings"

// Fault is one thing wrong with a problem, and where: lines[3].pickup, counting
// from 0. The place of a missing field is the object it is missing from; that
// of a document that cannot be read at all is "document".
type Fault struct {
	Place string
	Text  string
}

// Error is the fault as one line.
func (f Fault) Error() string { return f.Place + ": " + f.Text }

// Faults is every fault of a problem, in document order. None is no fault.
type Faults []Fault

// Error is the faults, one a line.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].Error()
	}
	return strings.Join(lines, "\n")
}
