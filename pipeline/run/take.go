package run

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Take puts a finished build that was made elsewhere in the place of the build folder of a panel, for a supplier or none: fill
// writes it into the empty folder that it is handed. It is taken only when it is whole, that is, holds just the files that
// its manifest lists, as it lists them, and the manifest has this SHA-256; whole tells. On any error, and where it is not
// whole, the build folder is as it was. It gives the build folder as the user named it.
func Take(ctx context.Context, outDir, panel, supplier, manifest string, console io.Writer, fill func(dir string) error) (dir string, whole bool, err error) {
	log := newJournal(console)
	d, err := openFolder(outDir, panel, supplier, log)
	if err != nil {
		return "", false, err
	}
	defer d.close()
	if err := fill(d.stage); err != nil {
		return "", false, err
	}
	if problem := d.takeable(manifest); problem != nil {
		log.say("not taken: %v", problem)
		return "", false, nil
	}
	if ctx.Err() != nil {
		return "", false, ErrInterrupted
	}
	if err := syncFiles(d.stage); err != nil {
		return "", false, err
	}
	if err := d.swapIn(log); err != nil {
		return "", false, err
	}
	return d.shown, true, nil
}

// takeable says what keeps the stage from being a whole build of the panel.
func (d *folder) takeable(manifest string) error {
	at := filepath.Join(d.stage, manifestName)
	sum, err := SumOfFile(at)
	switch {
	case err != nil:
		return fmt.Errorf("%s cannot be read: %w", manifestName, bare(err))
	case sum != manifest:
		return fmt.Errorf("%s is another one than was expected", manifestName)
	case !wholeBuild(d.stage, d.panel, d.whom):
		return fmt.Errorf("files are missing or are not as %s lists them", manifestName)
	}
	m, err := readManifest(d.stage)
	if err != nil {
		return err
	}
	foreign, err := foreignFiles(d.stage, m)
	if err != nil {
		return bare(err)
	}
	if len(foreign) > 0 {
		return fmt.Errorf("%s is none of its files", foreign[0])
	}
	return nil
}

// syncFiles brings the contents of all files in dir to the disk.
func syncFiles(dir string) error {
	return filepath.WalkDir(dir, func(at string, e os.DirEntry, err error) error {
		if err != nil {
			return machine("the build cannot be read: %w", bare(err))
		}
		if e.IsDir() {
			return nil
		}
		f, err := os.OpenFile(at, os.O_RDWR, 0)
		if err != nil {
			return machine("the build cannot be read: %w", bare(err))
		}
		defer f.Close()
		if err := f.Sync(); err != nil && !cannotSync(err) {
			return machine("the build cannot be written: %w", bare(err))
		}
		return nil
	})
}
