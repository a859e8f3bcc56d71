// Package trials holds the service to what it promises, from outside: the
// program is built, started, written to over HTTP, and then killed, stopped, cut
// off from power or denied its disk; and what it acknowledged is looked for.
//
// Each trial is done a few times with every run of the tests and at full length
// by HEADTALLY_TRIAL=long; what they promise and what was measured stands in
// testdata/anchors.md.
package trials
