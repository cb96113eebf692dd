package store

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"panelwright/pipeline/run"
)

// Entry is one finished build of a recipe. Who gets the same answers to all that it asked may take it.
type Entry struct {
	Panel    string      `json:"panel"`
	Supplier string      `json:"supplier,omitempty"`
	Asked    []run.Asked `json:"asked"`
	Manifest string      `json:"manifest"` // SHA-256 of its manifest.json
	// What Put found out: the archive's SHA-256 and its size.
	Archive string `json:"archive"`
	Bytes   int64  `json:"bytes"`
}

// kept is an Entry as it is kept.
type kept struct {
	Schema int    `json:"schema"`
	Recipe string `json:"recipe_key"`
	Entry
}

// Bounds on what is taken from a store.
const (
	mostEntry    = 16 << 20 // bytes of an entry
	mostManifest = 64 << 20 // bytes of a manifest, as package run reads them
	mostBuild    = 16 << 30 // bytes of a build folder
	mostFiles    = 100_000  // of a build folder
)

// buildKey names a build of a recipe by what it asked, with the answers: 64 hexadecimal digits.
func (e Entry) buildKey(recipeKey string) string {
	asked := slices.Clone(e.Asked)
	slices.SortFunc(asked, func(a, b run.Asked) int {
		return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(a.In, b.In), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Answer, b.Answer))
	})
	h := sha256.New()
	json.NewEncoder(h).Encode(struct { // a hash takes whatever it is given
		Recipe string      `json:"recipe_key"`
		Asked  []run.Asked `json:"asked"`
	}{recipeKey, asked})
	return hex.EncodeToString(h.Sum(nil))
}

func buildsOf(recipeKey string) string { return "builds/" + recipeKey + "/" }

func (e Entry) name(recipeKey string) string {
	return buildsOf(recipeKey) + e.buildKey(recipeKey) + ".json"
}

// archive names an archive by its SHA-256.
func archiveName(sum string) string { return "archives/" + sum[:2] + "/" + sum + ".tar.gz" }

// isKey tells whether s is a SHA-256 in hexadecimal digits, as we write them.
func isKey(s string) bool {
	raw, err := hex.DecodeString(s)
	return err == nil && len(raw) == sha256.Size && hex.EncodeToString(raw) == s
}

func checkKey(recipeKey string) error {
	if !isKey(recipeKey) {
		return fmt.Errorf("recipe key %q is not 64 hexadecimal digits", recipeKey)
	}
	return nil
}

func (e Entry) encode(recipeKey string) ([]byte, error) {
	return json.MarshalIndent(kept{1, recipeKey, e}, "", "  ")
}

// decode reads the entry that is kept under a name.
func decode(data []byte, recipeKey, name string) (Entry, error) {
	var k kept
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	switch err := d.Decode(&k); {
	case err != nil || d.More():
		return Entry{}, errors.New("is not an entry")
	case k.Schema != 1:
		return Entry{}, fmt.Errorf("is written by schema %d, and this program reads 1", k.Schema)
	case k.Recipe != recipeKey || k.Entry.name(recipeKey) != name:
		return Entry{}, errors.New("says that it is the entry of another build")
	case !isKey(k.Archive), !isKey(k.Manifest), k.Bytes <= 0, k.Bytes > mostBuild:
		return Entry{}, errors.New("does not say which archive it is for")
	}
	return k.Entry, nil
}
