// Package gs1 holds the open rules of the trade's case labels, as far as a farm
// needs them: check digits, element strings, the Code 128 symbol that bears
// them, and the produce trade's voice pick code.
//
//	code := []gs1.Element{{AI: "01", Value: gtin}, {AI: "13", Value: "260311"}, {AI: "10", Value: lot}}
//	text, err := gs1.Text(code)     // (01)10857674002017(13)260311(10)1152KMB
//	symbol, err := gs1.Symbol(code) // black and white, module by module
//	said, err := gs1.VoicePick(gtin, lot, "260311")
//
// A rule's source stands beside its test.
package gs1
