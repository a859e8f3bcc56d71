package store

import "headtally/domain"

// Layouts are how senders write their order sheets.
var Layouts = Kind[domain.Layout]{"layout", "layouts", func(v *domain.Layout) *string { return &v.Code },
	func(v *domain.Layout) map[string]any { return map[string]any{"name": v.Name} }}
