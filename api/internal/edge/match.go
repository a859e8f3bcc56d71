package edge

import (
	"strconv"
	"strings"

	"headtally/api/book"
)

// Tag is a revision as an entity tag: "17" in quotes.
func Tag(rev int64) string { return strconv.Quote(strconv.FormatInt(rev, 10)) }

// PackedTag is how the tag of an answer ends when the answer is sent packed: a
// packed answer is other bytes, so its strong tag must differ (RFC 9110, 8.8.3.3).
const PackedTag = "-gzip"

// noRevision is a base that no record has: of tags that are none of ours.
const noRevision int64 = -2

// tags are the entity tags of a header: strong ones as revisions, weak ones as
// revisions too where weak compares. A header that is no list of tags is refused.
func (a *Ask) tags(header string, weak bool) (revs []int64, any bool, err error) {
	rest := strings.TrimSpace(strings.Join(a.Header.Values(header), ","))
	if rest == "*" {
		return nil, true, nil
	}
	for rest != "" {
		isWeak := strings.HasPrefix(rest, "W/")
		tag, after, ok := quoted(strings.TrimPrefix(rest, "W/"))
		if !ok {
			return nil, false, malformed(InHeader, header, "tags")
		}
		if !isWeak || weak {
			revs = append(revs, revision(tag))
		}
		after = strings.TrimLeft(after, " \t")
		if after != "" && after[0] != ',' {
			return nil, false, malformed(InHeader, header, "tags")
		}
		rest = strings.TrimLeft(after, ", \t")
	}
	return revs, false, nil
}

// quoted cuts "tag" off the front of a text.
func quoted(s string) (tag, rest string, ok bool) {
	if s == "" || s[0] != '"' {
		return "", "", false
	}
	return cutQuote(s[1:])
}

func cutQuote(s string) (string, string, bool) { return strings.Cut(s, `"`) }

func revision(tag string) int64 {
	n, err := strconv.ParseInt(strings.TrimSuffix(tag, PackedTag), 10, 64)
	if err != nil || n < 0 {
		return noRevision
	}
	return n
}

// Base is the revision a change says it was made from (If-Match, RFC 9110,
// 13.1.1, by strong comparison): NoBase without the header. Of several tags, or
// of *, it is the present revision where that is among them.
func (a *Ask) Base(present func() (int64, error)) (int64, error) {
	if len(a.Header.Values("If-Match")) == 0 {
		return book.NoBase, nil
	}
	revs, any, err := a.tags("If-Match", false)
	switch {
	case err != nil:
		return 0, err
	case len(revs) == 1:
		return revs[0], nil
	case len(revs) == 0 && !any:
		return noRevision, nil
	}
	now, err := present()
	if err != nil {
		return 0, err
	}
	for _, r := range revs {
		any = any || r == now
	}
	if any {
		return now, nil
	}
	return noRevision, nil
}

// Fresh says whether the asker already holds this revision (If-None-Match,
// RFC 9110, 13.1.2, by weak comparison).
func (a *Ask) Fresh(rev int64) (bool, error) {
	revs, any, err := a.tags("If-None-Match", true)
	for _, r := range revs {
		any = any || r == rev
	}
	return any, err
}
