package api

import (
	"net"
	"net/http"
	"net/netip"
	"strings"

	"headtally/api/internal/edge"
)

// placed says where each request comes from. What a request says of itself in
// X-Forwarded-For and X-Forwarded-Proto is believed from the known proxies
// alone; anybody can send it.
func placed(proxies []netip.Prefix) step {
	return func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			next.ServeHTTP(w, r.WithContext(edge.WithOrigin(r.Context(), originOf(r, proxies))))
		})
	}
}

func originOf(r *http.Request, proxies []netip.Prefix) edge.Origin {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	peer, err := netip.ParseAddr(host)
	if err != nil {
		return edge.Origin{Address: host}
	}
	peer = peer.Unmap()
	if !among(peer, proxies) {
		return edge.Origin{Address: peer.String(), Machine: peer.IsLoopback(), Secret: r.TLS != nil}
	}
	return edge.Origin{Address: forwardedFor(r, peer, proxies), Secret: r.TLS != nil || r.Header.Get("X-Forwarded-Proto") == "https"}
}

// forwardedFor is the last address before the known proxies. Each proxy adds
// the one it was called from at the end, so what stands before the first that is
// not a known proxy may be made up.
func forwardedFor(r *http.Request, peer netip.Addr, proxies []netip.Prefix) string {
	hops := strings.Split(strings.Join(r.Header.Values("X-Forwarded-For"), ","), ",")
	from := peer
	for i := len(hops) - 1; i >= 0; i-- {
		hop, err := netip.ParseAddr(strings.TrimSpace(hops[i]))
		if err != nil {
			break
		}
		if from = hop.Unmap(); !among(from, proxies) {
			break
		}
	}
	return from.String()
}

func among(a netip.Addr, list []netip.Prefix) bool {
	for _, p := range list {
		if p.Contains(a) {
			return true
		}
	}
	return false
}
