// Package google opens buckets of Google Cloud Storage for gocloud.dev/blob by the service's JSON interface: what a store of builds needs,
// to list, read and write. The driver that comes with gocloud.dev brings the service's other interface with it, which every
// start of the program would pay for, and doubles the program.
package google

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"
	"time"

	"gocloud.dev/blob"
	"gocloud.dev/blob/driver"
	"gocloud.dev/gcerrors"
	"google.golang.org/api/googleapi"
	"google.golang.org/api/option"
	storage "google.golang.org/api/storage/v1"
)

// Open opens gs://BUCKET, with anonymous=true in its query without credentials; else with those that are usual for the service.
// STORAGE_EMULATOR_HOST names another server, as it does for the service's own clients.
func Open(ctx context.Context, u *url.URL) (*blob.Bucket, error) {
	query := u.Query()
	opts := []option.ClientOption{option.WithScopes(storage.DevstorageReadWriteScope)}
	anonymous := query.Get("anonymous") == "true"
	if host := os.Getenv("STORAGE_EMULATOR_HOST"); host != "" {
		if !strings.Contains(host, "://") {
			host = "http://" + host
		}
		opts, anonymous = append(opts, option.WithEndpoint(strings.TrimSuffix(host, "/")+"/storage/v1/")), true
	}
	if anonymous {
		opts = append(opts, option.WithoutAuthentication())
	}
	query.Del("anonymous")
	for name := range query {
		return nil, fmt.Errorf("unknown query parameter %q", name)
	}
	if u.Host == "" {
		return nil, errors.New("the URL names no bucket")
	}
	service, err := storage.NewService(context.WithoutCancel(ctx), opts...) // tokens are got anew later
	if err != nil {
		return nil, err
	}
	return blob.NewBucket(&bucket{service.Objects, u.Host}), nil
}

type bucket struct {
	objects *storage.ObjectsService
	name    string
}

// errNever is for what a store of builds never asks.
var errNever = errors.New("this is not done with a store of builds")

// ErrorCode classes an answer of the service.
func (b *bucket) ErrorCode(err error) gcerrors.ErrorCode {
	var answer *googleapi.Error
	if errors.Is(err, errNever) {
		return gcerrors.Unimplemented
	}
	if !errors.As(err, &answer) {
		return gcerrors.Unknown
	}
	switch answer.Code {
	case http.StatusBadRequest:
		return gcerrors.InvalidArgument
	case http.StatusUnauthorized, http.StatusForbidden:
		return gcerrors.PermissionDenied
	case http.StatusNotFound:
		return gcerrors.NotFound
	case http.StatusPreconditionFailed:
		return gcerrors.FailedPrecondition
	case http.StatusTooManyRequests:
		return gcerrors.ResourceExhausted
	}
	return gcerrors.Unknown
}

// ListPaged lists objects in order.
func (b *bucket) ListPaged(ctx context.Context, opts *driver.ListOptions) (*driver.ListPage, error) {
	if opts.Delimiter != "" || opts.BeforeList != nil {
		return nil, errNever
	}
	call := b.objects.List(b.name).Context(ctx).Prefix(opts.Prefix).PageToken(string(opts.PageToken)).Fields("items(name,size,updated)", "nextPageToken")
	if opts.PageSize > 0 {
		call.MaxResults(int64(opts.PageSize))
	}
	answer, err := call.Do()
	if err != nil {
		return nil, err
	}
	page := &driver.ListPage{NextPageToken: []byte(answer.NextPageToken)}
	for _, o := range answer.Items {
		at, err := time.Parse(time.RFC3339, o.Updated)
		if err != nil {
			return nil, err
		}
		page.Objects = append(page.Objects, &driver.ListObject{Key: o.Name, Size: int64(o.Size), ModTime: at})
	}
	return page, nil
}

// NewRangeReader reads a whole object.
func (b *bucket) NewRangeReader(ctx context.Context, key string, offset, length int64, opts *driver.ReaderOptions) (driver.Reader, error) {
	if offset != 0 || length >= 0 || opts.BeforeRead != nil {
		return nil, errNever
	}
	answer, err := b.objects.Get(b.name, key).Context(ctx).Download()
	if err != nil {
		return nil, err
	}
	size := answer.ContentLength
	if size < 0 { // sent in another form than it is stored in
		if size, err = strconv.ParseInt(answer.Header.Get("X-Goog-Stored-Content-Length"), 10, 64); err != nil {
			answer.Body.Close()
			return nil, errors.New("the service does not say how long the object is")
		}
	}
	return &reader{answer.Body, driver.ReaderAttributes{ContentType: answer.Header.Get("Content-Type"), Size: size}}, nil
}

type reader struct {
	io.ReadCloser
	about driver.ReaderAttributes
}

func (r *reader) Attributes() *driver.ReaderAttributes { return &r.about }
func (r *reader) As(any) bool                          { return false }

// NewTypedWriter writes an object, which is there when Close has succeeded.
func (b *bucket) NewTypedWriter(ctx context.Context, key, contentType string, opts *driver.WriterOptions) (driver.Writer, error) {
	if opts.BeforeWrite != nil || opts.IfNotExist {
		return nil, errNever
	}
	from, to := io.Pipe()
	w := &writer{ctx: ctx, to: to, done: make(chan error, 1)}
	go func() {
		_, err := b.objects.Insert(b.name, &storage.Object{Name: key}).Context(ctx).Media(from, googleapi.ContentType(contentType)).Do()
		from.CloseWithError(errors.Join(err, io.ErrClosedPipe)) // frees whoever still writes
		w.done <- err
	}()
	return w, nil
}

type writer struct {
	ctx  context.Context
	to   *io.PipeWriter
	done chan error
}

func (w *writer) Write(p []byte) (int, error) { return w.to.Write(p) }

func (w *writer) Close() error {
	w.to.CloseWithError(w.ctx.Err()) // without an error it is the end of the object
	err := <-w.done
	if w.ctx.Err() != nil {
		return w.ctx.Err()
	}
	return err
}

// Close has nothing to let go of.
func (b *bucket) Close() error { return nil }

func (b *bucket) As(any) bool             { return false }
func (b *bucket) ErrorAs(error, any) bool { return false }

func (b *bucket) Attributes(context.Context, string) (*driver.Attributes, error) {
	return nil, errNever
}
func (b *bucket) Copy(context.Context, string, string, *driver.CopyOptions) error { return errNever }

// Delete removes an object.
func (b *bucket) Delete(ctx context.Context, key string, opts *driver.DeleteOptions) error {
	if opts.BeforeDelete != nil {
		return errNever
	}
	return b.objects.Delete(b.name, key).Context(ctx).Do()
}

func (b *bucket) SignedURL(context.Context, string, *driver.SignedURLOptions) (string, error) {
	return "", errNever
}
