package store

import (
	"context"
	"encoding/json"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gocloud.dev/blob"

	"panelwright/pipeline/store/google"
)

// googleServer stands in for Google Cloud Storage, as its JSON interface is described (cloud.google.com/storage/docs/json_api/v1):
// lists two objects a page, sends and takes whole ones.
type googleServer struct {
	mu      sync.Mutex
	objects map[string][]byte
}

func (g *googleServer) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	g.mu.Lock()
	defer g.mu.Unlock()
	name, one := strings.CutPrefix(r.URL.Path, "/storage/v1/b/builds/o/")
	data, there := g.objects[name]
	switch {
	case !strings.HasPrefix(strings.TrimPrefix(r.URL.Path, "/upload"), "/storage/v1/b/builds/o"):
		g.fail(w, http.StatusNotFound)
	case one && !there:
		g.fail(w, http.StatusNotFound)
	case one && r.Method == http.MethodDelete:
		delete(g.objects, name)
		w.WriteHeader(http.StatusNoContent)
	case one && r.URL.Query().Get("alt") == "media":
		w.Write(data)
	case r.Method == http.MethodGet:
		g.list(w, r.URL.Query())
	case r.Method == http.MethodPost:
		g.insert(w, r)
	default:
		g.fail(w, http.StatusBadRequest)
	}
}

func (g *googleServer) fail(w http.ResponseWriter, code int) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	json.NewEncoder(w).Encode(map[string]any{"error": map[string]any{"code": code, "message": http.StatusText(code)}})
}

func (g *googleServer) list(w http.ResponseWriter, q url.Values) {
	var names []string
	for name := range g.objects {
		if strings.HasPrefix(name, q.Get("prefix")) && name > q.Get("pageToken") {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	answer := map[string]any{}
	if len(names) > 2 {
		names = names[:2]
		answer["nextPageToken"] = names[1]
	}
	var items []any
	for _, name := range names {
		items = append(items, map[string]any{"name": name, "size": "1", "updated": "2026-05-04T03:02:01.123Z"})
	}
	answer["items"] = items
	w.Header().Set("Content-Type", "application/json")
	json.NewEncoder(w).Encode(answer)
}

func (g *googleServer) insert(w http.ResponseWriter, r *http.Request) {
	_, about, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || r.URL.Query().Get("uploadType") != "multipart" {
		g.fail(w, http.StatusBadRequest)
		return
	}
	parts := multipart.NewReader(r.Body, about["boundary"])
	var object struct{ Name string }
	first, err := parts.NextPart()
	if err == nil {
		err = json.NewDecoder(first).Decode(&object)
	}
	var data []byte
	if second, e := parts.NextPart(); err == nil && e == nil {
		data, err = io.ReadAll(second)
	}
	if err != nil || object.Name == "" {
		g.fail(w, http.StatusBadRequest)
		return
	}
	g.objects[object.Name] = data
	w.Header().Set("Content-Type", "application/json")
	json.NewEncoder(w).Encode(object)
}

func googleBucket(t testing.TB) *blob.Bucket {
	server := httptest.NewServer(&googleServer{objects: map[string][]byte{}})
	t.Cleanup(server.Close)
	t.Setenv("STORAGE_EMULATOR_HOST", strings.TrimPrefix(server.URL, "http://"))
	b, err := google.Open(context.Background(), &url.URL{Scheme: "gs", Host: "builds"})
	require.NoError(t, err)
	return b
}
