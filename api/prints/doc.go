// Package prints makes the paper of the house: sheets for the wall, the
// clipboard and the office, tags and labels.
//
// A paper is built as a plain document of a planned day and then laid out and
// drawn. Say Thursday's plan is to hang in the packing room:
//
//	paper, err := prints.PackList(day, prints.Options{Number: 3, PrintedAt: now})
//	err = paper.PDF(w)
//
// Papers compute nothing that the plan does not hold, save totals of what they
// print; every word comes from the catalogue. The same input gives the same
// bytes, so that prints can be kept and compared.
//
// From the bottom up, a file each:
//
//	fonts.go    the two faces, their widths, which letters they can draw
//	letters.go  text made fit for them; what cannot be drawn is told
//	wrap.go     text broken into lines
//	page.go     marks on a page: words, rules, boxes
//	row.go      one row of a table; split.go parts one higher than a page
//	beside.go   two columns of rows
//	flow.go     rows put on pages; what must stay together does
//	header.go   the head of every page
//	paper.go    the finished paper, and its PDF
//
// Above these stands a file for each paper.
package prints
