package edge

import (
	"bytes"
	"io"
	"math/big"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"headtally/domain"
)

// cleaned copies a document without what was already found wrong in it: members
// nobody knows are left out and wrong values are null. A null that was sent is
// a fault, told once. Whole numbers written 12.0 or 1.2e1 are written 12.
func cleaned(body []byte, wrong map[jsontext.Pointer]bool, faults *domain.Faults) ([]byte, error) {
	var out bytes.Buffer
	in, enc := jsontext.NewDecoder(bytes.NewReader(body)), jsontext.NewEncoder(&out)
	first := len(wrong) == 0
	for {
		kind := in.PeekKind()
		if kind == 0 {
			_, err := in.ReadToken()
			if err == io.EOF {
				return out.Bytes(), nil
			}
			return nil, err
		}
		inObject, length := in.StackIndex(in.StackDepth())
		isName := inObject == '{' && length%2 == 0 && kind != '}'
		if isName {
			name, err := in.ReadToken()
			if err != nil {
				return nil, err
			}
			token := name.Clone()
			if unknown, is := wrong[in.StackPointer()]; is && unknown {
				if err := in.SkipValue(); err != nil {
					return nil, err
				}
				continue
			}
			if err := enc.WriteToken(token); err != nil {
				return nil, err
			}
			continue
		}
		if err := copyValue(in, enc, wrong, faults, first); err != nil {
			return nil, err
		}
	}
}

// copyValue copies the next token that is no member's name.
func copyValue(in *jsontext.Decoder, enc *jsontext.Encoder, wrong map[jsontext.Pointer]bool, faults *domain.Faults, first bool) error {
	kind := in.PeekKind()
	if kind == '}' || kind == ']' {
		token, err := in.ReadToken()
		if err != nil {
			return err
		}
		return enc.WriteToken(token)
	}
	if _, is := wrong[nextPointer(in)]; is {
		if err := in.SkipValue(); err != nil {
			return err
		}
		return enc.WriteToken(jsontext.Null)
	}
	token, err := in.ReadToken()
	switch {
	case err != nil:
		return err
	case kind == 'n' && first:
		faults.Add(placeOf(in.StackPointer()), "null")
	case kind == '0':
		return enc.WriteValue(jsontext.Value(plainNumber(token.String())))
	}
	return enc.WriteToken(token)
}

// nextPointer is the place of the value the decoder stands before.
func nextPointer(in *jsontext.Decoder) jsontext.Pointer {
	kind, length := in.StackIndex(in.StackDepth())
	if kind != '[' {
		return in.StackPointer() // that of the member whose name was read
	}
	parent := in.StackPointer()
	if length > 0 {
		parent = parent.Parent()
	}
	return jsontext.Pointer(string(parent) + "/" + strconv.FormatInt(length, 10))
}

// plainNumber writes a number that is whole or ends in a half without an exponent
// or needless zeros, as long as its digits are few enough to be no burden.
func plainNumber(text string) string {
	_, exponent, has := strings.Cut(strings.ToLower(text), "e")
	if power, err := strconv.Atoi(exponent); len(text) > 40 || has && (err != nil || power < -30 || power > 30) {
		return text
	}
	exact, ok := new(big.Rat).SetString(text)
	switch {
	case ok && exact.IsInt():
		return exact.Num().String()
	case ok && exact.Denom().IsInt64() && exact.Denom().Int64() == 2:
		return exact.FloatString(1)
	}
	return text
}
