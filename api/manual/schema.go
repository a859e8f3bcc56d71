package manual

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// schema is a shape of the contract, as far as the manual tells it.
type schema struct {
	Ref         string `yaml:"$ref"`
	Type        types
	Format      string
	Description string
	Enum        []string
	Items       *schema
	Properties  ordered[*schema]
	Required    []string
	AllOf       []*schema `yaml:"allOf"`
	Any         *schema   `yaml:"additionalProperties"`
	Min         *float64  `yaml:"minimum"`
	Max         *float64  `yaml:"maximum"`
	Step        *float64  `yaml:"multipleOf"`
	MaxLength   *int      `yaml:"maxLength"`
	MaxItems    *int      `yaml:"maxItems"`
	Default     *string
}

// types is one type or several.
type types []string

// UnmarshalYAML takes a word or a list of words.
func (t *types) UnmarshalYAML(n *yaml.Node) error {
	if n.Kind == yaml.ScalarNode {
		*t = types{n.Value}
		return nil
	}
	return n.Decode((*[]string)(t))
}

// UnmarshalYAML reads a schema; true and false say no more than that anything or
// nothing is taken.
func (s *schema) UnmarshalYAML(n *yaml.Node) error {
	type plain schema
	if n.Kind == yaml.ScalarNode {
		return nil
	}
	return n.Decode((*plain)(s))
}

// member is a row of a shape.
type member struct {
	Name     string
	Required bool
	Schema   *schema
}

// shape is the members of a schema, those of what it is made of before its own.
func (c *contract) shape(s *schema) (members []member) {
	if s == nil {
		return nil
	}
	if s.Ref != "" {
		members = c.shape(c.at(s.Ref))
	}
	for _, part := range s.AllOf {
		members = append(members, c.shape(part)...)
	}
	for _, p := range s.Properties {
		members = append(members, member{p.Name, false, p.Value})
	}
	for i, m := range members {
		members[i].Required = m.Required || slices.Contains(s.Required, m.Name)
	}
	return members
}

// at is the schema a reference leads to.
func (c *contract) at(ref string) *schema {
	for _, s := range c.Components.Schemas {
		if s.Name == last(ref) {
			return s.Value
		}
	}
	return nil
}

// kind says in words what a value is.
func (c *contract) kind(s *schema) template.HTML {
	switch {
	case s == nil:
		return ""
	case s.Ref != "":
		return template.HTML(fmt.Sprintf(`<a href="/manual/api-shapes#%[1]s">%[1]s</a>`, template.HTMLEscapeString(last(s.Ref)))) //nolint:gosec // escaped
	case len(s.AllOf) == 1:
		return c.kind(s.AllOf[0])
	case len(s.Enum) > 0:
		return template.HTML(template.HTMLEscapeString(choice(s.Enum))) //nolint:gosec // escaped
	}
	words := make([]string, 0, 2)
	for _, t := range s.Type {
		words = append(words, c.word(t, s))
	}
	return template.HTML(strings.Join(words, " or ")) //nolint:gosec // made of words and links
}

// word says one type of a schema.
func (c *contract) word(t string, s *schema) string {
	switch t {
	case "integer", "number":
		return map[string]string{"integer": "whole number", "number": "number"}[t] + s.limits()
	case "string":
		text := cmp.Or(map[string]string{"date": "day, YYYY-MM-DD", "date-time": "instant, RFC 3339"}[s.Format], "text")
		if s.MaxLength != nil {
			text += fmt.Sprintf(" of at most %d characters", *s.MaxLength)
		}
		return text
	case "array":
		text := "list of " + string(c.kind(s.Items))
		if s.MaxItems != nil {
			text += fmt.Sprintf(", at most %d", *s.MaxItems)
		}
		return text
	case "boolean":
		return "true or false"
	case "object":
		if s.Any != nil && (s.Any.Ref != "" || len(s.Any.Type) > 0) {
			return "map of name to " + string(c.kind(s.Any))
		}
		return "document"
	}
	return t
}

// limits says between what a number lies.
func (s *schema) limits() string {
	var b strings.Builder
	switch {
	case s.Min != nil && s.Max != nil:
		fmt.Fprintf(&b, ", %v to %.0f", *s.Min, *s.Max)
	case s.Min != nil:
		fmt.Fprintf(&b, ", %v or more", *s.Min)
	case s.Max != nil:
		fmt.Fprintf(&b, ", at most %.0f", *s.Max)
	}
	if s.Step != nil {
		fmt.Fprintf(&b, ", in steps of %v", *s.Step)
	}
	return b.String()
}

// choice lists the words of which one is taken; the empty one is the default.
func choice(words []string) string {
	list := slices.Clone(words)
	for i, w := range list {
		if w == "" {
			list[i] = "empty"
		}
	}
	return strings.Join(list, ", ")
}
