package prints

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// slab is a block of a height, and nothing else.
type slab struct {
	name string
	h    float64
}

func (s *slab) height(float64) float64                { return s.h }
func (s *slab) draw(*page, float64, float64, float64) {}
func (s *slab) inspect(*inspector)                    {}

// Whatever is put on pages stands on them once and in order, within their
// height, with its heading repeated over a page break; what is kept together is
// parted only where it is higher than a page.
func TestBlocksFlowOverPages(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const high = 100.0
		top := &slab{"top", 10}
		var items []item
		for i := range rapid.IntRange(1, 40).Draw(t, "blocks") {
			it := item{block: &slab{name: string(rune('A' + i)), h: float64(rapid.IntRange(1, 60).Draw(t, "height"))},
				gap: float64(rapid.IntRange(0, 9).Draw(t, "gap")), keep: rapid.IntRange(0, 3).Draw(t, "keep") == 0,
				fresh: rapid.IntRange(0, 9).Draw(t, "fresh") == 0}
			if rapid.Bool().Draw(t, "under a heading") {
				it.top = []block{top}
			}
			items = append(items, it)
		}
		pages := flow(items, 50, high)
		at := 0
		for n, page := range pages {
			require.NotEmpty(t, page)
			y := 0.0
			for k, b := range page {
				require.GreaterOrEqual(t, b.y, y, "nothing stands over another")
				y = b.y + b.height(50)
				require.LessOrEqual(t, y, high, "nothing is cut off")
				if b.block == top {
					require.True(t, k == 0 && n > 0, "a heading is repeated at the head of a page only")
					continue
				}
				require.Same(t, items[at].block, b.block)
				at++
			}
			if at < len(items) && items[at-1].keep && !items[at].fresh {
				require.Greater(t, together(items, at-1), high, "what is kept together and fits a page is not parted")
			}
		}
		require.Equal(t, len(items), at)
	})
}

// together is the height of the group that an item is kept in, on a page of its
// own.
func together(items []item, at int) float64 {
	first := at
	for first > 0 && items[first-1].keep && !items[first].fresh {
		first--
	}
	h := 0.0
	if len(items[first].top) > 0 {
		h = items[first].top[0].height(50)
	}
	for i := first; ; i++ {
		if i > first {
			h += items[i].gap
		}
		h += items[i].height(50)
		if i == len(items)-1 || !items[i].keep || items[i+1].fresh {
			return h
		}
	}
}

// A row higher than a page is parted between its lines, and says all it has to.
func TestARowHigherThanAPageIsParted(t *testing.T) {
	words := ""
	for i := range 300 {
		words += string(rune('a'+i%26)) + "bc "
	}
	r := &row{cols: []column{{share: 1}, {share: 1}}, under: bold,
		cells: []cell{{texts: []text{{style{20, false}, words}}}, {texts: []text{{style{20, true}, "once"}}}}}
	pages := flow([]item{{block: r}}, 200, 300)
	require.Greater(t, len(pages), 2)
	got, once := "", 0
	for _, page := range pages {
		for _, b := range page {
			part := b.block.(*row)
			require.LessOrEqual(t, part.height(200), 300.0)
			for _, x := range part.cells[0].texts {
				got += x.words + " "
			}
			once += len(part.cells[1].texts)
		}
	}
	require.Equal(t, words, got)
	require.Equal(t, 1, once)
}

func TestWordsWrapWithoutLoss(t *testing.T) {
	s := style{12, false}
	require.Equal(t, []string{"one", "two"}, s.wrap("one two", s.width("one two")-1))
	require.Equal(t, []string{"one two"}, s.wrap("one two", s.width("one two")))
	long := s.wrap("Llanfairpwllgwyngyll", 40)
	require.Greater(t, len(long), 2)
	joined := ""
	for _, part := range long {
		joined += part
		require.LessOrEqual(t, s.width(part), 40.0)
	}
	require.Equal(t, "Llanfairpwllgwyngyll", joined)
	require.NotEmpty(t, s.wrap("even where there is no room", -3))
	require.InDelta(t, 12*leastShrink, s.shrunk("Llanfairpwllgwyngyll", 10).size, 0.001)
}
