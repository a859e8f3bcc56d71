package pages_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/manual"
)

// TestTheManualIsServed looks at every chapter, and follows its links to places
// in the manual.
func TestTheManualIsServed(t *testing.T) {
	h := newHouse(t)
	places := map[string]bool{}
	for _, c := range manual.Chapters(manual.English) {
		p := h.get("/manual/" + c.Name)
		require.Equal(t, http.StatusOK, p.status, c.Name)
		require.Equal(t, c.Title, p.text("h1"))
		places["/manual/"+c.Name] = true
		for _, x := range p.all("article [id]") {
			places["/manual/"+c.Name+"#"+attr(x, "id")] = true
		}
	}
	for _, c := range manual.Chapters(manual.English) {
		for _, a := range h.get("/manual/" + c.Name).all("article a") {
			address := attr(a, "href")
			if strings.HasPrefix(address, "#") {
				address = "/manual/" + c.Name + address
			}
			if !strings.HasPrefix(address, "http") {
				require.True(t, places[address], "%s leads to %s, where nothing is", c.Name, address)
			}
		}
	}
	h.speak("es")
	for _, c := range manual.Chapters("es") {
		p := h.get("/manual/" + c.Name)
		require.Equal(t, c.Title, p.text("h1"))
		require.Equal(t, c.Language, attr(p.one("article"), "lang"))
		require.Equal(t, c.Language == manual.English, strings.Contains(p.text(".head"), "Escrito en inglés"), c.Name)
	}
	require.Contains(t, h.get("/manual").text("h1"), "La hoja de cálculo")
}
