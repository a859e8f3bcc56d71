package words

import (
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/planning"
)

var figures = regexp.MustCompile(`\{([a-z_]+)`)

// TestEveryLanguageSaysEverything: the same codes in every language, each with
// the same figures.
func TestEveryLanguageSaysEverything(t *testing.T) {
	names := func(sentence string) []string {
		list := []string{}
		for _, m := range figures.FindAllStringSubmatch(sentence, -1) {
			list = append(list, m[1])
		}
		slices.Sort(list)
		return slices.Compact(list)
	}
	first := In(Languages[0])
	for _, language := range Languages[1:] {
		other := In(language)
		require.Equal(t, first.Codes(), other.Codes(), language)
		for _, code := range first.Codes() {
			require.Equal(t, names(first.sentences[code]), names(other.sentences[code]), "%s in %s", code, language)
			require.NotEmpty(t, other.sentences[code], "%s in %s", code, language)
		}
	}
}

func TestFiguresAndForms(t *testing.T) {
	en, es := In("en"), In("es")
	one := planning.Warning{Code: planning.CasesOver, Day: domain.MustDay("2026-03-12"), Needed: 97, Had: 96}
	many := planning.Warning{Code: planning.CasesOver, Day: domain.MustDay("2026-03-12"), Needed: 104, Had: 96}
	require.Equal(t, []string{
		"Thursday 12 March: 104 cases for 96 spaces; 8 cases need another place or an earlier truck",
		"Thursday 12 March: 97 cases for 96 spaces; 1 case needs another place or an earlier truck",
	}, en.Warnings([]planning.Warning{many, one, many}, Names{}), "the same is said once")
	require.Equal(t, []string{"jueves 12 de marzo: 104 cajas para 96 lugares; 8 cajas necesitan otro lugar o un camión más temprano"},
		es.Warnings([]planning.Warning{many}, Names{}))
	require.Equal(t, "2½", en.Show(domain.HalfRafts(5)))
	require.Equal(t, "4,5", es.Show(4.5))
	require.Equal(t, "red oak, cos or lollo", en.Either([]string{"red oak", "cos", "lollo"}))
	require.Equal(t, "sáb 6 feb", es.ShortDay(domain.MustDay("2027-02-06")))
}

func TestDaysAndFiguresAsAFarmHasThem(t *testing.T) {
	day := domain.MustDay("2027-03-12")
	us, metric, es := For(domain.Farm{Language: "en", Units: "us"}), For(domain.Farm{Language: "en", Units: "metric"}), For(domain.Farm{Language: "es", Units: "us"})
	require.Equal(t, "Friday, March 12, 2027 · Fri Mar 12 · 3/12 · 2:30 pm · 12,345",
		us.DayYear(day)+" · "+us.ShortDay(day)+" · "+us.Figures(day)+" · "+us.Clock(14*60+30)+" · "+us.Number(12345))
	require.Equal(t, "Friday 12 March 2027 · Fri 12 Mar · 12/3 · 14:30 · −12\u202f345",
		metric.DayYear(day)+" · "+metric.ShortDay(day)+" · "+metric.Figures(day)+" · "+metric.Clock(14*60+30)+" · "+metric.Number(-12345))
	require.Equal(t, "viernes 12 de marzo · 14:30", es.Day(day)+" · "+es.Clock(14*60+30))
	r := &planning.Reason{Code: planning.NotEnoughReady, HeadsMissingAll: 1, Varieties: []string{"OAK"}, NextReady: day}
	require.Equal(t, "1 head of OAK missing; more ready Friday, March 12", us.Why(r, true, Names{}), "within sentences too")
}

func TestWhySaysNotCountedRatherThanShort(t *testing.T) {
	r := &planning.Reason{Code: planning.NotEnoughReady, HeadsMissingAll: 1, Varieties: []string{"OAK"}, NextReady: domain.MustDay("2027-02-06")}
	n := Names{Varieties: map[string]string{"OAK": "oakleaf"}}
	require.Equal(t, "1 head of oakleaf missing; more ready Saturday 6 February", In("en").Why(r, true, n))
	require.Equal(t, "nobody has counted oakleaf for that day yet", In("en").Why(r, false, n))
}

// TestDaysOfRefusalsAreWrittenOut: whatever form the day came in, a person reads
// it as a day; what is no day of the calendar stays as it was written.
func TestDaysOfRefusalsAreWrittenOut(t *testing.T) {
	said := func(s *Speech, what, code string) string {
		return s.Refusal(&domain.Refusal{Kind: domain.ErrNotFound, What: what, Code: code})
	}
	us, es := For(domain.Farm{Language: "en", Units: "us"}), In("es")
	require.Equal(t, "there is no pickup day Friday, April 16, 2027", said(us, "pickup day", "2027-04-16"))
	require.Equal(t, "there is no pickup day Friday 16 April 2027", said(In("en"), "pickup day", "2027-04-16"))
	require.Equal(t, "there is no pickup NORTH, Friday 16 April 2027", said(In("en"), "pickup", "NORTH/2027-04-16"))
	require.Contains(t, said(es, "pickup day", "2027-04-16"), "viernes 16 de abril de 2027")
	require.Equal(t, "there is no pickup day 2027-02-29", said(In("en"), "pickup day", "2027-02-29"))
	require.Equal(t, "there is no order O-2027-04-16", said(In("en"), "order", "O-2027-04-16"))
}

func TestUnknownLanguageAndCode(t *testing.T) {
	require.Equal(t, "en", In("xx").Language)
	require.Equal(t, "no.such.code", In("en").Say("no.such.code"))
}
