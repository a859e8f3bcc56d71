// Package openapi holds the contract of the JSON face, an OpenAPI 3.1 document,
// as it is served and as the tests hold every request and answer against it.
package openapi

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"sync"

	"gopkg.in/yaml.v3"
)

// YAML is the document as it is written.
//
//go:embed openapi.yaml
var YAML []byte

// JSON is the same document as JSON, made once.
var JSON = sync.OnceValues(func() ([]byte, error) {
	var document map[string]any
	if err := yaml.Unmarshal(YAML, &document); err != nil {
		return nil, fmt.Errorf("openapi.yaml: %w", err)
	}
	return json.Marshal(document)
})
