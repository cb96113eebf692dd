package store

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// server is an S3 server that can be made to fail.
type server struct {
	*httptest.Server
	asked atomic.Int64
	// instead, where it is set, answers in place of the server, unless it gives false.
	instead atomic.Pointer[func(w http.ResponseWriter, r *http.Request) bool]
	good    http.Handler
}

func newServer(t *testing.T) (*server, *Store) {
	backend := s3mem.New()
	require.NoError(t, backend.CreateBucket("builds"))
	x := &server{good: gofakes3.New(backend).Server()}
	x.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		x.asked.Add(1)
		if instead := x.instead.Load(); instead != nil && (*instead)(w, r) {
			return
		}
		x.good.ServeHTTP(w, r)
	}))
	t.Cleanup(x.Close)
	s := New(s3Bucket(t, x.URL), "s3://builds")
	s.pause = time.Millisecond
	return x, s
}

func (x *server) fails(how func(w http.ResponseWriter, r *http.Request) bool) { x.instead.Store(&how) }

// breakOff sends half of the true answer, and closes the connection.
func (x *server) breakOff(w http.ResponseWriter, r *http.Request) {
	whole := httptest.NewRecorder()
	x.good.ServeHTTP(whole, r)
	w.Header().Set("Content-Length", fmt.Sprint(whole.Body.Len()))
	for name, values := range whole.Header() {
		w.Header()[name] = values
	}
	w.WriteHeader(whole.Code)
	w.Write(whole.Body.Bytes()[:whole.Body.Len()/2])
	w.(http.Flusher).Flush()
	panic(http.ErrAbortHandler)
}

func isArchive(r *http.Request) bool { return strings.Contains(r.URL.Path, "/archives/") }

func TestServerBreaksOff(t *testing.T) {
	ctx := context.Background()
	x, s := newServer(t)
	made := newBuild(t, "G04 top*")
	require.NoError(t, s.Put(ctx, key, made.entry, made.dir))
	e := s.only(t)
	var left atomic.Int64
	x.fails(func(w http.ResponseWriter, r *http.Request) bool {
		if !isArchive(r) || left.Add(-1) < 0 {
			return false
		}
		x.breakOff(w, r)
		return true
	})
	left.Store(1)
	dir := t.TempDir()
	require.NoError(t, s.Fetch(ctx, key, e, dir), "once is made up for")
	assert.Equal(t, tree(t, made.dir), tree(t, dir))

	left.Store(1000)
	var gone *UnreachableError
	require.ErrorAs(t, s.Fetch(ctx, key, e, dir), &gone)
	assert.False(t, gone.Again)
	assert.Equal(t, "s3://builds cannot be read: unexpected EOF", gone.Error())
}

// TestServerSilent: a server that takes a connection and never answers is waited for once, and so long.
func TestServerSilent(t *testing.T) {
	x, s := newServer(t)
	made := newBuild(t, "G04 top*")
	require.NoError(t, s.Put(context.Background(), key, made.entry, made.dir))
	e := s.only(t)
	end := make(chan struct{})
	t.Cleanup(func() { close(end) }) // before the server closes, which waits for its answers
	x.fails(func(http.ResponseWriter, *http.Request) bool { <-end; return true })

	ctx, cancel := context.WithCancel(context.Background())
	go func() {
		for x.asked.Load() < 5 { // what was asked above, and this
			time.Sleep(time.Millisecond)
		}
		cancel()
	}()
	_, err := s.Candidates(ctx, key)
	assert.ErrorIs(t, err, context.Canceled, "an interruption is none of the store's doing")

	s.patience = 50 * time.Millisecond
	var gone *UnreachableError
	_, err = s.Candidates(context.Background(), key)
	require.ErrorAs(t, err, &gone)
	assert.Equal(t, "s3://builds cannot be read: it did not answer within 50ms", gone.Error())
	assert.False(t, gone.Again)
	asked := x.asked.Load()
	for _, err := range []error{
		s.Fetch(context.Background(), key, e, t.TempDir()),
		s.Put(context.Background(), key, made.entry, made.dir),
	} {
		require.ErrorAs(t, err, &gone)
		assert.True(t, gone.Again)
	}
	assert.Equal(t, asked, x.asked.Load(), "it is not asked again")
}

// TestServerGone: nothing listens there.
func TestServerGone(t *testing.T) {
	t.Parallel() // the client tries again after seconds
	x, s := newServer(t)
	x.Close()
	_, err := s.Candidates(context.Background(), key)
	var gone *UnreachableError
	require.ErrorAs(t, err, &gone)
	assert.ErrorContains(t, err, "connection refused")
	assert.Less(t, len(err.Error()), 120, "the cause, and not all that is around it")
}

// TestReadOnly: who may not write to the store may take what is there.
func TestReadOnly(t *testing.T) {
	ctx := context.Background()
	x, s := newServer(t)
	made, other := newBuild(t, "G04 top*"), newBuild(t, "G04 other*")
	require.NoError(t, s.Put(ctx, key, made.entry, made.dir))
	x.fails(func(w http.ResponseWriter, r *http.Request) bool {
		if r.Method == http.MethodGet {
			return false
		}
		w.WriteHeader(http.StatusForbidden)
		fmt.Fprint(w, `<?xml version="1.0"?><Error><Code>AccessDenied</Code><Message>Access Denied.</Message></Error>`)
		return true
	})
	var gone *UnreachableError
	require.ErrorAs(t, s.Put(ctx, key, other.entry, other.dir), &gone)
	assert.Equal(t, "s3://builds cannot be written: api error AccessDenied: Access Denied.", gone.Error())
	require.ErrorAs(t, s.Put(ctx, key, other.entry, other.dir), &gone)
	assert.True(t, gone.Again)
	require.NoError(t, s.Fetch(ctx, key, s.only(t), t.TempDir()))
}

// TestArchiveNotSent: when the archive does not arrive whole there is no entry.
func TestArchiveNotSent(t *testing.T) {
	t.Parallel() // the client tries again after seconds
	ctx := context.Background()
	x, s := newServer(t)
	x.fails(func(w http.ResponseWriter, r *http.Request) bool {
		if r.Method != http.MethodPut || !isArchive(r) {
			return false
		}
		r.Body.Read(make([]byte, 100))
		panic(http.ErrAbortHandler)
	})
	made := newBuild(t, "G04 top*")
	var gone *UnreachableError
	require.ErrorAs(t, s.Put(ctx, key, made.entry, made.dir), &gone)
	assert.Empty(t, s.objects(t))
}

// TestAtOnce: workers that put and fetch the same builds at the same time do not harm one another.
func TestAtOnce(t *testing.T) {
	eachPlace(t, func(t *testing.T, s *Store) {
		ctx := context.Background()
		made := []build{newBuild(t, "1"), newBuild(t, "2")}
		want := map[string]map[string]string{}
		for _, b := range made {
			want[b.entry.Manifest] = tree(t, b.dir)
		}
		dirs := make([]string, 6)
		for i := range dirs {
			dirs[i] = t.TempDir()
		}
		var taken atomic.Int64
		var all sync.WaitGroup
		for i, dir := range dirs {
			all.Go(func() {
				for range 5 {
					b := made[i%2]
					if !assert.NoError(t, s.Put(ctx, key, b.entry, b.dir)) {
						return
					}
					found, err := s.Candidates(ctx, key)
					assert.NoError(t, err)
					assert.NotEmpty(t, found)
					for _, e := range found {
						if assert.NoError(t, s.Fetch(ctx, key, e, dir)) {
							assert.Equal(t, want[e.Manifest], tree(t, dir))
							taken.Add(1)
						}
					}
				}
			})
		}
		all.Wait()
		assert.GreaterOrEqual(t, taken.Load(), int64(30))
		assert.Len(t, s.objects(t), 4)
	})
}
