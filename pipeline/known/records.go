package known

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"time"

	"panelwright/pipeline/run"
)

// Records is where the records of the builds in one output folder are kept. They lie outside of it, as they hold dates: what
// is in an output folder hangs on recipes and inputs alone.
type Records struct {
	dir string // absolute; empty: nowhere
	out string // absolute
}

// RecordsOf gives the records of the output folder outDir, kept in the folder dir; where that is empty, in the user's folder
// for what can be made again. Where there is none, nothing is kept.
func RecordsOf(dir, outDir string) (Records, error) {
	out, err := filepath.Abs(outDir)
	if err != nil {
		return Records{}, err
	}
	if dir != "" {
		dir, err = filepath.Abs(dir)
		return Records{dir, out}, err
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return Records{"", out}, nil
	}
	return Records{filepath.Join(cache, "panelwright", "known", short(out)), out}, nil
}

func short(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:16])
}

// place gives the file that keeps the record of a recipe's build.
func (c Records) place(recipe, supplier string) (string, error) {
	path, err := filepath.Abs(recipe)
	if err != nil {
		return "", err
	}
	// Where records, output folder and recipes have moved together, they are still known.
	if rel, err := filepath.Rel(c.out, path); err == nil {
		path = rel
	}
	return filepath.Join(c.dir, short(filepath.ToSlash(path)+"\n"+supplier)+".json"), nil
}

const mostRecord = 64 << 20 // bytes

// Load gives the record of the recipe's last build; nil where there is none that can be used.
func (c Records) Load(recipe, supplier string) *Record {
	if c.dir == "" {
		return nil
	}
	at, err := c.place(recipe, supplier)
	if err != nil {
		return nil
	}
	data, err := run.ReadPlain(at, mostRecord)
	if err != nil {
		return nil
	}
	var r Record
	if json.Unmarshal(data, &r) != nil || r.Schema != schema || r.Panel == "" || r.Manifest == "" || r.Stamps == nil {
		return nil
	}
	return &r
}

// Save keeps the record. It appears whole or not at all.
func (c Records) Save(r *Record, recipe string) error {
	if c.dir == "" {
		return nil
	}
	at, err := c.place(recipe, r.Settings.Supplier)
	if err != nil {
		return err
	}
	r.Schema = schema
	data, err := json.Marshal(r)
	if err != nil {
		return err
	}
	if err := c.make(); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Join(c.dir, newName), "*")
	if err != nil {
		return err
	}
	_, err = f.Write(append(data, '\n'))
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), at)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

const (
	ofName  = "of"  // a file beside the records that says which output folder they are of
	newName = "new" // a folder for records in the making
)

// forgotten is the age at which a record in the making is that of a process that was killed.
const forgotten = time.Hour

// make makes the folder, and removes records in the making that were left, and its neighbours of output folders that are gone.
func (c Records) make() error {
	if err := os.MkdirAll(filepath.Join(c.dir, newName), 0o755); err != nil {
		return err
	}
	left, err := os.ReadDir(filepath.Join(c.dir, newName))
	if err != nil {
		return err
	}
	for _, l := range left {
		if info, err := l.Info(); err == nil && time.Since(info.ModTime()) > forgotten {
			os.Remove(filepath.Join(c.dir, newName, l.Name()))
		}
	}
	if _, err := os.Stat(filepath.Join(c.dir, ofName)); err == nil {
		return nil
	}
	if err := os.WriteFile(filepath.Join(c.dir, ofName), []byte(c.out+"\n"), 0o644); err != nil {
		return err
	}
	if len(filepath.Base(c.dir)) != len(short("")) {
		return nil // a folder that was named
	}
	neighbours, err := os.ReadDir(filepath.Dir(c.dir))
	if err != nil {
		return nil
	}
	for _, n := range neighbours {
		dir := filepath.Join(filepath.Dir(c.dir), n.Name())
		of, err := os.ReadFile(filepath.Join(dir, ofName))
		if err != nil {
			continue
		}
		if _, err := os.Stat(strings.TrimSuffix(string(of), "\n")); errors.Is(err, os.ErrNotExist) {
			os.RemoveAll(dir)
		}
	}
	return nil
}
