package planning

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// small is a document with one of everything, all in order.
const small = `{
 "as_of": "2027-02-02", "next_pull": "2027-02-03", "lead_days": 1,
 "pull_days": ["2027-02-02", "2027-02-03", "2027-02-04"],
 "rank": "day_first", "share_rule": "even_share",
 "pickup_days": ["2027-02-03", "2027-02-05"],
 "cooler": {"case_spaces": 40, "tray_spaces": 60, "case_rule": "warn"},
 "max_recipes": 2,
 "work": {"rafts_per_day": 40, "harvest_heads_per_hour": 220, "harvest_hours": 4.5, "pack_cases_per_hour": 20, "pack_hours": 6},
 "varieties": [
  {"code": "RB", "name": "Red butterhead", "shelf_days": 12, "hold_days": 4, "heads_per_tray": 12},
  {"code": "GO", "name": "Green oakleaf", "shelf_days": 10, "heads_per_tray": 24}],
 "products": [
  {"code": "MIX", "name": "Mix", "slots": [{"heads": 2, "accept": ["RB", "GO"]}, {"heads": 2, "accept": ["GO"], "growers_choice": true}], "max_heads_per_variety": 2},
  {"code": "ONE", "name": "One", "slots": [{"heads": 12, "accept": ["RB"]}]}],
 "lots": [
  {"code": "K1", "variety": "RB", "place": "bed", "heads": 80, "cautious_heads": 70, "rafts": 2.5, "ready": "2027-02-01", "last": "2027-02-08", "bed": "north", "at": 1},
  {"code": "K2", "variety": "GO", "place": "cooler", "heads": 30, "pulled": "2027-02-01"}],
 "packed": [{"code": "P1", "product": "MIX", "cases": 2, "contents": [{"variety": "RB", "heads": 2}, {"variety": "GO", "heads": 2}], "pulled": "2027-02-01", "line": "L1"}],
 "lines": [
  {"id": "L1", "customer": "C1", "product": "MIX", "pickup": "2027-02-03", "cases": 4, "received": "2027-01-30T14:22:00+02:00", "priority": 1, "promised": 2, "promised_at": "2027-01-31T08:00:00Z", "at_most": 3, "all_or_none": true, "substitutes": "ask", "refuse": ["RB"], "min_shelf_days": 5, "lead_days": 0}]
}`

func TestReadTakesEveryField(t *testing.T) {
	p, faults := Read(strings.NewReader(small))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var want Problem
	if err := json.Unmarshal([]byte(small), &want); err != nil {
		t.Fatal(err)
	}
	want.Lines[0].Received = want.Lines[0].Received.UTC()
	if !reflect.DeepEqual(*p, want) {
		t.Errorf("read\n%+v\nwant\n%+v", *p, want)
	}
	if faults := Check(p); len(faults) > 0 {
		t.Errorf("Check of what was read: %v", faults)
	}
}

func TestReadTellsEveryFault(t *testing.T) {
	cases := []struct {
		name     string
		old, new string // a change to the small document
		want     []string
	}{
		// The shape of the document.
		{"unknown field", `"lead_days": 1,`, `"lead_days": 1, "leed_days": 1,`, []string{"leed_days: is no field of the problem document here"}},
		{"unknown field in a list", `"cases": 4,`, `"cases": 4, "a b\nc": [1, {}],`, []string{`lines[0]."a b\nc": is no field of the problem document here`}},
		{"doubled field", `"lead_days": 1,`, `"lead_days": 1, "lead_days": 2,`, []string{"lead_days: is there twice; a field may be given once"}},
		{"doubled by null", `"lead_days": 1,`, `"lead_days": 1, "lead_days": null,`, []string{"lead_days: is there twice; a field may be given once"}},
		{"null is left out", `"hold_days": 4`, `"hold_days": null`, nil},
		{"null where it may not be left out", `"tray_spaces": 60`, `"tray_spaces": null`, []string{"cooler: tray_spaces is missing"}},
		{"missing", `"id": "L1", `, ``, []string{"lines[0]: id is missing"}},
		{"missing at the top", `"as_of": "2027-02-02", `, ``, []string{"document: as_of is missing"}},
		{"null in a list", `["RB", "GO"]`, `["RB", null]`, []string{"products[0].slots[0].accept[1]: must be a text"}},
		{"wrong kinds", `"cases": 4,`, `"cases": "4",`, []string{"lines[0].cases: must be a number"}},
		{"list for an object", `"cooler": {"case_spaces": 40, "tray_spaces": 60, "case_rule": "warn"}`, `"cooler": []`, []string{"cooler: must be an object"}},
		{"text for a list", `"refuse": ["RB"]`, `"refuse": "RB"`, []string{"lines[0].refuse: must be a list"}},
		{"word for a truth", `"all_or_none": true`, `"all_or_none": "yes"`, []string{"lines[0].all_or_none: must be true or false"}},
		{"number for an object in a list", `"lots": [`, `"lots": [7,`, []string{"lots[0]: must be an object"}},
		{"more behind it", "]\n}", "]\n} {}", []string{"document: there is more text behind the problem"}},

		// Numbers.
		{"not whole", `"cases": 4,`, `"cases": 4.5,`, []string{"lines[0].cases: 4.5 is not a whole number"}},
		{"whole however written", `"cases": 4,`, `"cases": 40.0e-1,`, nil},
		{"hardly whole", `"cases": 4,`, `"cases": 4.00000000000000000001,`, []string{"lines[0].cases: 4.00000000000000000001 is not a whole number"}},
		{"below 0", `"heads": 80`, `"heads": -1`, []string{
			"lots[0].heads: must be from 0 to 1,000,000, not -1", "lots[0].cautious_heads: must not be above heads, -1"}},
		{"above the limit", `"heads": 30`, `"heads": 1000001`, []string{"lots[1].heads: must be from 0 to 1,000,000, not 1,000,001"}},
		{"far above the limit", `"cases": 2`, `"cases": 1e99999999999999999999`, []string{"packed[0].cases: must be from 0 to 1,000,000, not 2,147,483,647"}},
		{"thirds of rafts", `"rafts": 2.5`, `"rafts": 2.25`, []string{"lots[0].rafts: 2.25 is no number of rafts: whole or ending in .5"}},
		{"no rafts", `"rafts": 2.5`, `"rafts": 0`, []string{"lots[0].rafts: must be above 0 where there are heads; leave it out for heads lifted one by one"}},
		{"lead days", `"lead_days": 0`, `"lead_days": 8`, []string{"lines[0].lead_days: must be from 0 to 7, not 8"}},
		{"priority 0", `"priority": 1`, `"priority": 0`, []string{"lines[0].priority: must be 1 or more, not 0"}},
		{"heads per tray", `"heads_per_tray": 24`, `"heads_per_tray": 0`, []string{"varieties[1].heads_per_tray: must be from 1 to 1,000,000, not 0"}},
		{"a slot of no heads", `"heads": 2, "accept": ["GO"]`, `"heads": 0, "accept": ["GO"]`, []string{"products[0].slots[1].heads: must be from 1 to 1,000,000, not 0"}},

		// Days and times.
		{"no such day", `"last": "2027-02-08"`, `"last": "2027-02-29"`, []string{`lots[0].last: "2027-02-29" is no day of the calendar`}},
		{"another way to write days", `"last": "2027-02-08"`, `"last": "8.2.2027"`, []string{`lots[0].last: "8.2.2027" is not a date written YYYY-MM-DD`}},
		{"no time", `"2027-01-31T08:00:00Z"`, `"2027-01-31 08:00"`, []string{`lines[0].promised_at: "2027-01-31 08:00" is not a time such as 2027-02-03T14:00:00Z (RFC 3339)`}},
		{"days that stand still", `"2027-02-03", "2027-02-04"]`, `"2027-02-03", "2027-02-03"]`, []string{"pull_days[2]: must be after the day before it in the list, 2027-02-03"}},
		{"pickup in the past", `["2027-02-03", "2027-02-05"]`, `["2027-02-01", "2027-02-03"]`, []string{"pickup_days[0]: must not be before as_of, 2027-02-02"}},
		{"lifting in the past", `"next_pull": "2027-02-03"`, `"next_pull": "2027-02-01"`, []string{"next_pull: must not be before as_of, 2027-02-02"}},
		{"pickup not planned", `"pickup": "2027-02-03"`, `"pickup": "2027-02-04"`, []string{"lines[0].pickup: 2027-02-04 is not among pickup_days"}},
		{"last before ready", `"ready": "2027-02-01"`, `"ready": "2027-02-09"`, []string{"lots[0].last: must not be before ready, 2027-02-09"}},
		{"pulled tomorrow", `"heads": 30, "pulled": "2027-02-01"`, `"heads": 30, "pulled": "2027-02-03"`, []string{"lots[1].pulled: must not be after as_of, 2027-02-02"}},

		// Codes.
		{"unknown word", `"even_share"`, `"fair"`, []string{`share_rule: "fair" is not known; allowed is even_share, first_come`}},
		{"unknown variety", `["RB", "GO"]`, `["RB", "XX"]`, []string{`products[0].slots[0].accept[1]: "XX" is not among the varieties`}},
		{"variety that could not be read", `{"code": "GO"`, `{"code": 5`, []string{"varieties[1].code: must be a text"}},
		{"doubled code", `"code": "GO"`, `"code": "RB"`, []string{`varieties[1].code: "RB" is there twice; every one needs a name of its own`,
			`products[0].slots[0].accept[1]: "GO" is not among the varieties`, `products[0].slots[1].accept[0]: "GO" is not among the varieties`,
			`lots[1].variety: "GO" is not among the varieties`, `packed[0].contents[1].variety: "GO" is not among the varieties`}},
		{"packed shares codes with lots", `"code": "P1"`, `"code": "K2"`, []string{`packed[0].code: "K2" is there twice; every one needs a name of its own`}},
		{"empty code", `"id": "L1"`, `"id": ""`, []string{`packed[0].line: "L1" is not among the lines`, "lines[0].id: is empty; every one needs a name of its own"}},
		{"accepting nothing", `["RB", "GO"]`, `[]`, []string{"products[0].slots[0].accept: must name at least one variety"}},
		{"accepting twice", `["RB", "GO"]`, `["RB", "RB"]`, []string{`products[0].slots[0].accept[1]: "RB" is there twice; name a variety once`}},
		{"refused twice", `"refuse": ["RB"]`, `"refuse": ["RB", "RB"]`, []string{`lines[0].refuse[1]: "RB" is there twice; name a variety once`}},
		{"contents twice", `{"variety": "GO", "heads": 2}]`, `{"variety": "RB", "heads": 2}]`, []string{`packed[0].contents[1].variety: "RB" is there twice; name a variety once`}},
		{"without slots", `[{"heads": 2, "accept": ["RB", "GO"]}, {"heads": 2, "accept": ["GO"], "growers_choice": true}]`, `[]`, []string{"products[0].slots: must be from 1 to 100, not 0"}},
		{"over its own cap", `"accept": ["RB", "GO"]`, `"accept": ["GO"]`, []string{"products[0].max_heads_per_variety: no case can be made with at most 2 heads of a variety of what the slots accept"}},
		{"bed fields in the cooler", `"heads": 30, "pulled"`, `"heads": 30, "at": 1, "pulled"`, []string{"lots[1].at: belongs to lots in a bed; this one lies in the cooler"}},
		{"cooler fields in a bed", `"at": 1}`, `"at": 1, "pulled": "2027-02-01"}`, []string{"lots[0].pulled: belongs to lots in the cooler; this one stands in a bed"}},
		{"a bed lot without days", `"ready": "2027-02-01", "last": "2027-02-08", `, ``, []string{"lots[0]: ready is missing; a lot in a bed has it", "lots[0]: last is missing; a lot in a bed has it"}},
		{"packed for a line of another product", `"code": "P1", "product": "MIX"`, `"code": "P1", "product": "ONE"`, []string{`packed[0].line: asks for product "MIX"; these cases are "ONE"`}},

		// Several at once come in document order.
		{"two faults", `"lead_days": 1,`, `"lead_days": 9, "rank": "none",`, []string{"lead_days: must be from 0 to 7, not 9",
			`rank: "none" is not known; allowed is day_first, priority_first`, "rank: is there twice; a field may be given once"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(small, c.old) {
				t.Fatalf("the small document has no %s", c.old)
			}
			_, faults := ReadBytes([]byte(strings.Replace(small, c.old, c.new, 1)))
			var want string
			if len(c.want) > 0 {
				want = strings.Join(c.want, "\n")
			}
			if faults.Error() != want {
				t.Errorf("faults\n%s\nwant\n%s", faults.Error(), want)
			}
		})
	}
}

func TestReadRefusesWhatIsNoJSON(t *testing.T) {
	for _, text := range []string{"", "{", `{"as_of"`, small[:len(small)/2], strings.Replace(small, "[", "[,", 1),
		strings.Replace(small, "Mix", "M\xffx", 1), `{"as_of": "2027-02-02" "lead_days": 1}`, "\xef\xbb\xbf" + small} {
		p, faults := ReadBytes([]byte(text))
		if p != nil || len(faults) == 0 || !strings.Contains(faults.Error(), "is no JSON at byte") {
			t.Errorf("%.20q: %v", text, faults)
		}
	}
}

func TestReadTakesTheProvenCases(t *testing.T) {
	for _, text := range provenCases(t) {
		if _, faults := ReadBytes(text); len(faults) > 0 {
			t.Error(faults)
		}
	}
}

// provenCases is the problem of every file of testdata/planning.
func provenCases(tb testing.TB) (texts [][]byte) {
	files, _ := filepath.Glob("../../testdata/planning/*.json")
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			tb.Fatal(err)
		}
		var both struct{ Problem json.RawMessage }
		if err := json.Unmarshal(text, &both); err != nil {
			tb.Fatal(err)
		}
		texts = append(texts, both.Problem)
	}
	if len(texts) < 42 {
		tb.Fatalf("%d proven cases, want 42 or more", len(texts))
	}
	return texts
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(small))
	for _, text := range provenCases(f) {
		if len(text) < 5000 {
			f.Add([]byte(text))
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p, faults := ReadBytes(text)
		if (p == nil) != (len(faults) > 0) {
			t.Fatalf("problem %v with faults %v", p, faults)
		}
		if p == nil {
			if strings.Count(faults.Error(), "\n") != len(faults)-1 {
				t.Fatalf("more than a line a fault: %q", faults.Error())
			}
			return
		}
		if again := Check(p); len(again) > 0 {
			t.Fatalf("read, and then refused: %v", again)
		}
	})
}

func BenchmarkRead(b *testing.B) {
	text := provenCases(b)[0]
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, faults := Read(bytes.NewReader(text)); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
