package sheets

import (
	"bytes"
	"encoding/xml"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

// TestAnotherReaderReadsWhatIsWritten holds workbooks against a library that
// knows all of the standard.
func TestAnotherReaderReadsWhatIsWritten(t *testing.T) {
	heading := func(text string) book.TableCell { return book.TableCell{Kind: book.CellHeading, Text: text} }
	var orders, count book.Table
	orders.Name, count.Name = "Orders: week [6]", "A name of many more letters than any sheet's may have"
	orders.Add(book.TableCell{Kind: book.CellHelp, Text: "farm"})
	orders.Add(heading("customer"), heading("cases"))
	orders.Add("=1+1", 12, " two  spaces ")
	orders.Add(nil, domain.MustDay("2027-02-10"), "a_x000D_b\r\n<&>\"é½\x01")
	count.Add(domain.HalfRafts(5), -0.125, domain.MustDay("1900-02-28"))
	var b bytes.Buffer
	say := words.In("en")
	require.NoError(t, WriteXLSX(&b, []book.Table{orders, count}, say))

	f, err := excelize.OpenReader(&b)
	require.NoError(t, err)
	defer f.Close()
	require.Equal(t, []string{"Orders  week (6)", "A name of many more letters tha"}, f.GetSheetList())
	rows, err := f.GetRows("Orders  week (6)")
	require.NoError(t, err)
	require.Equal(t, [][]string{
		{say.Say("hint.farm")},
		{say.Say("column.customer"), say.Say("column.cases")},
		{"'=1+1", "12", " two  spaces "}, // guarded, as in CSV
		{"", "2027-02-10", "a_x000D_b\r\n<&>\"é½\x01"},
	}, rows)
	formula, err := f.GetCellFormula("Orders  week (6)", "A3")
	require.NoError(t, err)
	require.Empty(t, formula)
	kind, err := f.GetCellType("Orders  week (6)", "B3")
	require.NoError(t, err)
	require.NotEqual(t, excelize.CellTypeInlineString, kind)
	rows, err = f.GetRows("A name of many more letters tha")
	require.NoError(t, err)
	require.Equal(t, [][]string{{"2.5", "-0.125", "1900-02-28"}}, rows)

	panes, err := f.GetPanes("Orders  week (6)")
	require.NoError(t, err)
	require.True(t, panes.Freeze)
	require.Equal(t, 2, panes.YSplit)
	require.Equal(t, "A3", panes.TopLeftCell)
	width, err := f.GetColWidth("Orders  week (6)", "A")
	require.NoError(t, err)
	require.Equal(t, float64(leastWidth), width)
	require.True(t, styleOf(t, f, "A2").Font.Bold)
	require.True(t, styleOf(t, f, "A1").Font.Italic)
	require.True(t, styleOf(t, f, "A1").Alignment.WrapText)
}

func styleOf(t *testing.T, f *excelize.File, cell string) *excelize.Style {
	id, err := f.GetCellStyle("Orders  week (6)", cell)
	require.NoError(t, err)
	style, err := f.GetStyle(id)
	require.NoError(t, err)
	return style
}

func TestTextsOfCellsAreReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune("_x0041_<&>\"\x00\r\n\t")))).Draw(t, "text")
		var read string
		require.NoError(t, xml.Unmarshal([]byte("<t>"+cellText(text)+"</t>"), &read))
		require.Equal(t, text, unescape(read))
	})
}

func TestColumnNames(t *testing.T) {
	for i, name := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA", 16_383: "XFD"} {
		require.Equal(t, name, columnName(i))
	}
}
