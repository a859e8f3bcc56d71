package pages

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"sync"

	"github.com/labstack/echo/v4"

	"headtally/domain"
)

//go:embed static
var staticFiles embed.FS

// fingerprints are the files' names with what they hold, so that a browser may
// keep a file for good and never shows an old one.
var fingerprints = sync.OnceValue(func() map[string]string {
	prints := map[string]string{}
	files, err := fs.ReadDir(staticFiles, "static")
	if err != nil {
		panic("pages: " + err.Error())
	}
	for _, f := range files {
		content, err := staticFiles.ReadFile("static/" + f.Name())
		if err != nil {
			panic("pages: " + err.Error())
		}
		sum := sha256.Sum256(content)
		prints[f.Name()] = hex.EncodeToString(sum[:6])
	}
	return prints
})

// fileAddress is the address of one of our files.
func fileAddress(name string) string { return "/static/" + name + "?" + fingerprints()[name] }

// static sends one of our files.
func (o *Office) static(c echo.Context) error {
	name := c.Param("file")
	content, err := staticFiles.ReadFile("static/" + name)
	if err != nil {
		return domain.Refuse(domain.ErrNotFound, "file", name)
	}
	c.Response().Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	c.Response().Header().Set("X-Content-Type-Options", "nosniff")
	return c.Blob(http.StatusOK, mime.TypeByExtension(path.Ext(name)), content)
}
