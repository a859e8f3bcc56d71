package v1

import (
	"headtally/api/book"
	"headtally/api/internal/edge"
)

// byName reads the filter of records with a name: part of it.
func byName(q *edge.Query, chosen *book.Query) { chosen.Search = q.Text("name") }

// equal reads filters that a record must equal. A parameter is named as the
// column it is held against.
func equal(q *edge.Query, chosen *book.Query, columns ...string) {
	for _, column := range columns {
		if value := q.Text(column); value != "" {
			chosen.Equal[column] = value
		}
	}
}

// between reads the filters from and to, both days included.
func between(q *edge.Query, chosen *book.Query, column string) {
	if from := q.Day("from"); from != 0 {
		chosen.From[column] = from.String()
	}
	if to := q.Day("to"); to != 0 {
		chosen.To[column] = to.String()
	}
}
