package api

import (
	"compress/gzip"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"headtally/api/internal/edge"
)

// worthPacking is the least length of text that is sent packed: shorter ones
// fit one packet as they are.
const worthPacking = 1400

// packed sends long text packed to who can unpack it (RFC 9110, 12.5.3).
func packed(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Add("Vary", "Accept-Encoding")
		if !unpacks(r.Header.Get("Accept-Encoding")) {
			next.ServeHTTP(w, r)
			return
		}
		p := &packer{ResponseWriter: w}
		next.ServeHTTP(p, r)
		if p.zip != nil {
			_ = p.zip.Close() // the asker has gone away: nobody is left to tell
		}
	})
}

func unpacks(accept string) bool {
	for _, choice := range strings.Split(accept, ",") {
		name, params, _ := strings.Cut(strings.TrimSpace(choice), ";")
		if !strings.EqualFold(strings.TrimSpace(name), "gzip") {
			continue
		}
		q, told := strings.CutPrefix(strings.ReplaceAll(params, " ", ""), "q=")
		weight, err := strconv.ParseFloat(q, 64)
		return !told || err == nil && weight > 0
	}
	return false
}

// packer decides when the headers are known.
type packer struct {
	http.ResponseWriter
	zip     *gzip.Writer
	decided bool
}

func (p *packer) WriteHeader(status int) {
	if !p.decided {
		p.decided = true
		if h := p.Header(); status != http.StatusNoContent && status != http.StatusNotModified && suits(h) {
			h.Del("Content-Length")
			h.Set("Content-Encoding", "gzip")
			if tag, ok := strings.CutSuffix(h.Get("ETag"), `"`); ok {
				h.Set("ETag", tag+edge.PackedTag+`"`)
			}
			p.zip = gzip.NewWriter(p.ResponseWriter)
		}
	}
	p.ResponseWriter.WriteHeader(status)
}

func (p *packer) Write(b []byte) (int, error) {
	if !p.decided {
		p.WriteHeader(http.StatusOK)
	}
	if p.zip != nil {
		return p.zip.Write(b)
	}
	return p.ResponseWriter.Write(b)
}

// Unwrap lets http.ResponseController reach the connection.
func (p *packer) Unwrap() http.ResponseWriter { return p.ResponseWriter }

// suits says whether an answer is long text that nobody has packed.
func suits(h http.Header) bool {
	if n, err := strconv.Atoi(h.Get("Content-Length")); err == nil && n < worthPacking || h.Get("Content-Encoding") != "" {
		return false
	}
	kind, _, err := mime.ParseMediaType(h.Get("Content-Type"))
	if err != nil {
		return false
	}
	switch kind {
	case "application/json", "application/problem+json", "application/yaml", "image/svg+xml":
		return true
	}
	return strings.HasPrefix(kind, "text/")
}
