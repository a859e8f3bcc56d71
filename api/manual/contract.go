package manual

import (
	"bytes"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"headtally/openapi"
)

// contract is what the manual shows of the OpenAPI document, in its own order.
type contract struct {
	Info       struct{ Description string }
	Tags       []tag
	Paths      ordered[path]
	Components struct {
		Parameters map[string]parameter
		Responses  map[string]response
		Schemas    ordered[*schema]
	}
}

type tag struct{ Name, Description string }

type path struct {
	Parameters                    []parameter
	Get, Put, Post, Patch, Delete *operation
}

type operation struct {
	ID          string `yaml:"operationId"`
	Tags        []string
	Summary     string
	Parameters  []parameter
	RequestBody struct{ Content ordered[media] } `yaml:"requestBody"`
	Responses   ordered[response]
}

type parameter struct {
	Ref         string `yaml:"$ref"`
	Name, In    string
	Description string
	Required    bool
	Schema      *schema
}

type response struct {
	Ref         string `yaml:"$ref"`
	Description string
	Content     ordered[media]
}

type media struct{ Schema *schema }

// ordered is a map of the document that keeps the order in which it is written.
type ordered[T any] []named[T]

type named[T any] struct {
	Name  string
	Value T
}

// UnmarshalYAML reads the pairs as they stand.
func (o *ordered[T]) UnmarshalYAML(n *yaml.Node) error {
	if n.Kind != yaml.MappingNode {
		return fmt.Errorf("line %d: a map is wanted", n.Line)
	}
	for i := 0; i < len(n.Content); i += 2 {
		one := named[T]{Name: n.Content[i].Value}
		if err := n.Content[i+1].Decode(&one.Value); err != nil {
			return err
		}
		*o = append(*o, one)
	}
	return nil
}

func readContract() (*contract, error) {
	c := &contract{}
	return c, yaml.Unmarshal(openapi.YAML, c)
}

// chapters are the contract's: what can be asked, a chapter a tag, and the
// shapes of what is sent.
func (c *contract) chapters() (all []Chapter) {
	t := template.Must(template.New("").Funcs(template.FuncMap{"kind": c.kind, "shape": c.shape, "parameter": c.parameter, "answer": c.answer}).ParseFS(sheets, "contract.html"))
	chapter := func(name, title, sheet string, view any) {
		var b bytes.Buffer
		if err := t.ExecuteTemplate(&b, sheet, view); err != nil {
			panic("manual: " + err.Error())
		}
		all = append(all, Chapter{Name: ofContract + "-" + name, Title: title, Under: ofContract, Language: English, Body: template.HTML(b.String())}) //nolint:gosec // made by a template
	}
	for _, g := range c.Tags {
		chapter(g.Name, "API: "+g.Name, "operations", map[string]any{"About": g.Description, "Asked": c.under(g.Name)})
	}
	chapter("shapes", "API: shapes", "shapes", c.Components.Schemas)
	return all
}

// asked is one thing that can be asked of the API.
type asked struct {
	*operation
	Method, Path string
	All          []parameter // its own and its address's
}

// under are the operations of a tag.
func (c *contract) under(name string) (list []asked) {
	for _, p := range c.Paths {
		for _, m := range []struct {
			word string
			op   *operation
		}{{"GET", p.Value.Get}, {"POST", p.Value.Post}, {"PUT", p.Value.Put}, {"PATCH", p.Value.Patch}, {"DELETE", p.Value.Delete}} {
			if m.op != nil && slices.Contains(m.op.Tags, name) {
				list = append(list, asked{m.op, m.word, p.Name, slices.Concat(p.Value.Parameters, m.op.Parameters)})
			}
		}
	}
	return list
}

// parameter is a parameter, followed to where it is written.
func (c *contract) parameter(p parameter) parameter {
	if p.Ref == "" {
		return p
	}
	return c.Components.Parameters[last(p.Ref)]
}

// answer is an answer, followed to where it is written.
func (c *contract) answer(r response) response {
	if r.Ref == "" {
		return r
	}
	return c.Components.Responses[last(r.Ref)]
}

// last is the name at the end of a reference.
func last(ref string) string { return ref[strings.LastIndex(ref, "/")+1:] }
