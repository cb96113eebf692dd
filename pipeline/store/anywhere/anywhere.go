// Package anywhere opens a shared store of builds by its URL, with the drivers for all kinds of stores. A program that wants fewer opens
// its bucket itself.
package anywhere

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"gocloud.dev/blob"
	_ "gocloud.dev/blob/azureblob" // azblob://
	"gocloud.dev/blob/fileblob"
	_ "gocloud.dev/blob/s3blob" // s3://

	"panelwright/pipeline/store"
	"panelwright/pipeline/store/google"
)

// Open opens the store at an address:
//
//	file:///srv/builds       a folder that is there; file:builds is relative to the working folder
//	s3://BUCKET?region=…     Amazon S3 and what speaks like it, with endpoint=http://HOST:PORT and use_path_style=true
//	gs://BUCKET              Google Cloud Storage
//	azblob://CONTAINER       Azure Blob Storage
//
// With prefix=NAME in its query the store lies below that name. What else the query may hold, and where credentials come from, is as
// gocloud.dev/blob and the services' own clients have it. Errors: *store.UnreachableError where nothing answers; others are for the
// user to mend.
func Open(ctx context.Context, address string) (*store.Store, error) {
	u, err := url.Parse(address)
	if err != nil || u.Scheme == "" {
		return nil, fmt.Errorf("the store %q is not a URL: write file:%s for a folder, or s3://, gs:// or azblob:// with a bucket's name", address, filepath.ToSlash(address))
	}
	query := u.Query()
	if query.Has("key") {
		return nil, errors.New("the store's URL has a query parameter \"key\", which would make one object of it: take it out")
	}
	prefix := strings.Trim(query.Get("prefix"), "/")
	query.Del("prefix")
	u.RawQuery = query.Encode()
	shown := (&url.URL{Scheme: u.Scheme, Opaque: u.Opaque, Host: u.Host, Path: strings.TrimSuffix(u.Path, "/")}).String() // a query may hold secrets, as may what stands before the host
	if prefix != "" {
		prefix += "/"
		shown += "/" + strings.TrimSuffix(prefix, "/")
	}
	return store.Open(ctx, shown, func(ctx context.Context) (*blob.Bucket, error) {
		bucket, err := open(ctx, u)
		if err != nil || prefix == "" {
			return bucket, err
		}
		return blob.PrefixedBucket(bucket, prefix), nil
	})
}

func open(ctx context.Context, u *url.URL) (*blob.Bucket, error) {
	switch u.Scheme {
	case fileblob.Scheme:
		return folder(u)
	case "gs":
		return google.Open(ctx, u)
	case "s3", "azblob":
		return blob.DefaultURLMux().OpenBucketURL(context.WithoutCancel(ctx), u)
	}
	return nil, fmt.Errorf("no store is known by %s: there are file:, s3:, gs: and azblob: for them", u.Scheme)
}

// folder opens a folder. It must be there: a share that is not mounted must not pass for an empty store.
func folder(u *url.URL) (*blob.Bucket, error) {
	for name := range u.Query() {
		return nil, fmt.Errorf("unknown query parameter %q", name)
	}
	dir := u.Opaque
	switch {
	case dir != "":
		var err error
		if dir, err = url.PathUnescape(dir); err != nil {
			return nil, err
		}
	case u.Host == "" || u.Host == "localhost":
		dir = u.Path
		if len(dir) > 2 && dir[2] == ':' { // file:///C:/builds
			dir = dir[1:]
		}
	default:
		return nil, fmt.Errorf("it names a host, %s: a folder is written file:///PATH, or file:PATH relative to the working folder", u.Host)
	}
	dir = filepath.FromSlash(dir)
	if info, err := os.Stat(dir); errors.Is(err, os.ErrNotExist) {
		return nil, errors.New("there is no such folder: make it, or mount the share that it is on")
	} else if err == nil && !info.IsDir() {
		return nil, errors.New("it is a file, not a folder")
	}
	// What is being written lies beside its place, for a folder for temporary files may be on another disk; nothing else is written.
	return fileblob.OpenBucket(dir, &fileblob.Options{NoTempDir: true, Metadata: fileblob.MetadataDontWrite})
}
