// Package contract holds requests and answers against the OpenAPI document. Only
// tests use it: each exchange they make is given to Check, and what the document
// promises and no exchange has shown is told by Unseen.
package contract

import (
	"bytes"
	"fmt"
	"net/url"
	"slices"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// Contract is a document made ready.
type Contract struct {
	Operations []*Operation

	doc      map[string]any
	compiler *jsonschema.Compiler
	seen     map[string]bool // operation and status
}

// Operation is one method of one address.
type Operation struct {
	ID, Method, Path string
	Parameters       []Parameter
	Body             map[string]*Schema // by content type; nil: it takes none
	Answers          map[string]*Answer // by status; "default" for the rest
}

// Parameter is one parameter of an operation.
type Parameter struct {
	Name, In string
	Required bool
	Schema   *Schema
}

// Answer is one answer of an operation.
type Answer struct {
	Headers map[string]Parameter
	Content map[string]*Schema // nil: without a body
}

// Schema is a schema of the document, as it stands there and made ready.
type Schema struct {
	Raw   map[string]any
	check *jsonschema.Schema
}

// location is what the document is called while it is read.
const location = "headtally:///openapi.json"

// Read makes a document ready.
func Read(document []byte) (*Contract, error) {
	parsed, err := jsonschema.UnmarshalJSON(bytes.NewReader(document))
	if err != nil {
		return nil, err
	}
	c := &Contract{doc: parsed.(map[string]any), compiler: jsonschema.NewCompiler(), seen: map[string]bool{}}
	c.compiler.AssertFormat()
	if err := c.compiler.AddResource(location, parsed); err != nil {
		return nil, err
	}
	paths := object(c.doc["paths"])
	for _, path := range sorted(paths) {
		item := object(paths[path])
		for _, method := range []string{"get", "post", "put", "delete"} {
			if item[method] == nil {
				continue
			}
			op, err := c.operation(path, method, item)
			if err != nil {
				return nil, fmt.Errorf("%s %s: %w", method, path, err)
			}
			c.Operations = append(c.Operations, op)
		}
	}
	return c, nil
}

func (c *Contract) operation(path, method string, item map[string]any) (*Operation, error) {
	raw := object(item[method])
	op := &Operation{ID: text(raw["operationId"]), Method: strings.ToUpper(method), Path: path, Answers: map[string]*Answer{}}
	at := "/paths/" + escape(path)
	for _, from := range []struct {
		at   string
		list any
	}{{at + "/parameters", item["parameters"]}, {at + "/" + method + "/parameters", raw["parameters"]}} {
		list, _ := from.list.([]any)
		for i := range list {
			p, err := c.parameter(fmt.Sprintf("%s/%d", from.at, i))
			if err != nil {
				return nil, err
			}
			op.Parameters = append(op.Parameters, p)
		}
	}
	var err error
	if raw["requestBody"] != nil {
		if op.Body, err = c.content(at + "/" + method + "/requestBody"); err != nil {
			return nil, err
		}
	}
	for status := range object(raw["responses"]) {
		if op.Answers[status], err = c.answer(at + "/" + method + "/responses/" + status); err != nil {
			return nil, err
		}
	}
	return op, nil
}

func (c *Contract) parameter(at string) (p Parameter, err error) {
	raw, at := c.look(at)
	p = Parameter{Name: text(raw["name"]), In: text(raw["in"]), Required: raw["required"] == true}
	p.Schema, err = c.schema(at + "/schema")
	return p, err
}

func (c *Contract) answer(at string) (*Answer, error) {
	raw, at := c.look(at)
	a := &Answer{Headers: map[string]Parameter{}}
	var err error
	if raw["content"] != nil {
		if a.Content, err = c.content(at); err != nil {
			return nil, err
		}
	}
	for name := range object(raw["headers"]) {
		if a.Headers[name], err = c.parameter(at + "/headers/" + name); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// content is the schemas of a body by content type; a type without a schema
// promises no more than the type.
func (c *Contract) content(at string) (map[string]*Schema, error) {
	raw, at := c.look(at)
	all := map[string]*Schema{}
	for kind, media := range object(raw["content"]) {
		all[kind] = nil
		if object(media)["schema"] == nil {
			continue
		}
		s, err := c.schema(at + "/content/" + escape(kind) + "/schema")
		if err != nil {
			return nil, err
		}
		all[kind] = s
	}
	return all, nil
}

func (c *Contract) schema(at string) (*Schema, error) {
	check, err := c.compiler.Compile(location + "#" + at)
	if err != nil {
		return nil, err
	}
	raw, _ := c.look(at)
	return &Schema{raw, check}, nil
}

// look is what lies at a pointer, and its own pointer where that only refers
// to another place.
func (c *Contract) look(at string) (map[string]any, string) {
	var here any = c.doc
	for _, part := range strings.Split(at, "/")[1:] {
		part = unescape(part)
		if list, ok := here.([]any); ok {
			var i int
			_, _ = fmt.Sscan(part, &i)
			here = list[i]
			continue
		}
		here = object(here)[part]
	}
	raw := object(here)
	if ref, ok := raw["$ref"].(string); ok && len(raw) == 1 {
		return c.look(strings.TrimPrefix(ref, "#"))
	}
	return raw, at
}

// Follow is a schema's own members with those of the schema it refers to.
func (c *Contract) Follow(raw map[string]any) map[string]any {
	ref, ok := raw["$ref"].(string)
	if !ok {
		return raw
	}
	to, _ := c.look(strings.TrimPrefix(ref, "#"))
	all := map[string]any{}
	for k, v := range c.Follow(to) {
		all[k] = v
	}
	for k, v := range raw {
		if k != "$ref" {
			all[k] = v
		}
	}
	return all
}

// Find is the operation of a method and address, and the address's parts. The
// address is as it is sent: a slash within a part is escaped.
func (c *Contract) Find(method, path string) (*Operation, map[string]string) {
	var best *Operation
	var parts map[string]string
	for _, op := range c.Operations {
		if found, ok := match(op.Path, path); ok && op.Method == method && (best == nil || len(found) < len(parts)) {
			best, parts = op, found
		}
	}
	return best, parts
}

// Knows says whether an address has any operation.
func (c *Contract) Knows(path string) bool {
	return slices.ContainsFunc(c.Operations, func(op *Operation) bool { _, ok := match(op.Path, path); return ok })
}

// match holds an address against a path with its parts in braces.
func match(pattern, path string) (map[string]string, bool) {
	want, have := strings.Split(pattern, "/"), strings.Split(path, "/")
	if len(want) != len(have) {
		return nil, false
	}
	parts := map[string]string{}
	for i, w := range want {
		if name, isPart := strings.CutPrefix(w, "{"); isPart {
			part, err := url.PathUnescape(have[i])
			if err != nil {
				return nil, false
			}
			parts[strings.TrimSuffix(name, "}")] = part
		} else if w != have[i] {
			return nil, false
		}
	}
	return parts, true
}

// Unseen lists the documented answers that no exchange has shown.
func (c *Contract) Unseen() (list []string) {
	for _, op := range c.Operations {
		for status := range op.Answers {
			if status != "default" && !c.seen[op.ID+" "+status] {
				list = append(list, op.ID+" "+status)
			}
		}
	}
	slices.Sort(list)
	return list
}

func object(v any) map[string]any { m, _ := v.(map[string]any); return m }

func text(v any) string { s, _ := v.(string); return s }

func sorted(m map[string]any) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// escape and unescape write a member's name as a part of a pointer (RFC 6901).
func escape(s string) string {
	return strings.NewReplacer("~", "~0", "/", "~1", "{", "%7B", "}", "%7D").Replace(s)
}

func unescape(s string) string {
	return strings.NewReplacer("~1", "/", "~0", "~", "%7B", "{", "%7D", "}").Replace(s)
}
