// Package store keeps finished builds where all workers find them, by what they were made from: in a folder that machines share or
// in a bucket of an object store, whatever gocloud.dev/blob opens.
//
//	builds/<recipe key>/<build key>.json   an Entry: what the build asked, with the answers, and which archive holds it
//	archives/ab/<SHA-256>.tar.gz           the build folder, manifest.json first
//
// A build is there as soon as its entry is, which is written last. Archives are named by their content and entries by what they
// say, so that workers that keep the same build at the same time write the same objects. Nothing is locked, and nothing is
// removed: age it out by the store's own means. What an entry names and is gone by then is built again.
//
// Everything that is taken is checked: each file against the manifest, the manifest and the archive against their SHA-256 in the
// entry, and the inputs that the manifest lists against the answers in the entry. That finds damage and mistakes. Who may
// write to the store can put a wrong build there that says of itself what it should: they are trusted as colleagues are.
package store
