package book

import (
	"context"

	"headtally/domain/planning"
	"headtally/planner"
)

// WhatIf plans a problem that is not the book's. It stores nothing.
func (b *Book) WhatIf(_ context.Context, who Person, p *planning.Problem) (*planning.Plan, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return planner.Plan(p), nil
}
