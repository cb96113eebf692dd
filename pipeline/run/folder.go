package run

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
)

// Hooks for the tests that kill a build at every step, and that take the exchange away.
var (
	faultPoint = func(step string) {}
	exchange   = swapNames
)

// folder is the place of one panel's build: the build folder itself and, beside it, what exists only
// while a build runs or after one was killed. All of it is on one file system.
type folder struct {
	out    string // absolute
	shown  string // the build folder as the user named it
	panel  string
	whom   string // the supplier; empty: nobody in particular
	target string // the build folder
	stage  string // the new build in the making
	old    string // the old build, while names are changed one by one
	note   string // says that stage is complete and names are being changed
	lock   *lock
	made   []string // folders that this build made, the inner one first
}

// what names what is built.
func (d *folder) what() string {
	if d.whom == "" {
		return d.panel
	}
	return d.panel + " for " + d.whom
}

// folderFor says where a panel's build goes: OutDir/<panel>, or OutDir/<panel>/<supplier>.
func folderFor(outDir, panel, supplier string) (*folder, error) {
	out, err := filepath.Abs(outDir)
	if err != nil {
		return nil, machine("output folder %s: %w", outDir, bare(err))
	}
	name := panel
	if supplier != "" {
		out, name = filepath.Join(out, panel), supplier
	}
	side := func(what string) string { return filepath.Join(out, ".panelwright-"+what+"-"+name) }
	return &folder{
		out: out, shown: filepath.Join(outDir, panel, supplier), panel: panel, whom: supplier,
		target: filepath.Join(out, name),
		stage:  side("stage"), old: side("old"), note: side("journal"),
	}, nil
}

// CutOff tells whether beside a panel's build folder there is what a build leaves that is running, or was killed.
func CutOff(outDir, panel, supplier string) bool {
	d, err := folderFor(outDir, panel, supplier)
	return err == nil && (exists(d.stage) || exists(d.old) || exists(d.note))
}

// lockName is where a build's lock lies.
func (d *folder) lockName() string {
	return filepath.Join(d.out, ".panelwright-lock-"+filepath.Base(d.target))
}

// openFolder takes the lock, mends what a killed build left, and makes the stage.
func openFolder(outDir, panel, supplier string, log *journal) (*folder, error) {
	d, err := folderFor(outDir, panel, supplier)
	if err != nil {
		return nil, err
	}
	for dir := d.out; ; dir = filepath.Dir(dir) {
		if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) && len(d.made) < 2 {
			d.made = append(d.made, dir)
		}
		if supplier == "" || dir != d.out {
			break
		}
	}
	if supplier == "" {
		err = d.begin(outDir)
	} else {
		err = d.beginWithin(outDir, log)
	}
	if err != nil {
		d.unmake()
		return nil, err
	}
	faultPoint("locked")
	if err := d.prepare(log); err != nil {
		d.close()
		return nil, err
	}
	return d, nil
}

// begin makes the folder that the build folder lies in, and takes the build's lock.
func (d *folder) begin(outDir string) error {
	if err := os.MkdirAll(d.out, 0o755); err != nil {
		return machine("output folder %s: cannot be made: %w; choose another with -o", outDir, bare(err))
	}
	lock, holder, err := takeLock(d.lockName())
	switch {
	case errors.Is(err, errLocked) && holder > 0:
		return machine("another build of %s is running (process %d)%w; wait for it to end", d.what(), holder, err)
	case errors.Is(err, errLocked):
		return machine("another build of %s is running%w; wait for it to end", d.what(), err)
	case err != nil:
		return machine("output folder %s: cannot be written: %w; choose another with -o", outDir, bare(err))
	}
	d.lock = lock
	return nil
}

// lockTries is how often a lock is asked for, 20 ms apart, that builds for other suppliers hold for a moment only.
var lockTries = 100

// beginWithin is begin for a supplier's build, which lies within the panel's folder. Builds for several suppliers
// may run at once; one of the panel for nobody in particular, which exchanges that folder as a whole, may not run
// beside them: it is kept away by its own lock while this build begins, and afterwards by what it then finds in
// the folder.
func (d *folder) beginWithin(outDir string, log *journal) error {
	plain, err := folderFor(outDir, d.panel, "")
	if err != nil {
		return err
	}
	for range lockTries {
		if err = plain.begin(outDir); !errors.Is(err, errLocked) {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if err != nil {
		return err
	}
	defer plain.lock.release()
	if err := plain.repair(log); err != nil {
		return err
	}
	info, err := os.Lstat(d.out)
	shown := plain.shown
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return machine("%s: cannot be read: %w", shown, bare(err))
	case !info.IsDir():
		return fmt.Errorf("%s: is in the way of the build folder; move it elsewhere", shown)
	case exists(filepath.Join(d.out, manifestName)):
		return fmt.Errorf("%s: holds a build of %s for no supplier, and builds for suppliers go to folders within it, one each; move it elsewhere", shown, d.panel)
	}
	return d.begin(outDir)
}

func (d *folder) prepare(log *journal) error {
	if err := d.repair(log); err != nil {
		return err
	}
	if err := d.replaceable(); err != nil {
		return err
	}
	if err := os.Mkdir(d.stage, 0o755); err != nil {
		return machine("output folder %s: cannot be written: %w; choose another with -o", filepath.Dir(d.shown), bare(err))
	}
	faultPoint("stage made")
	return nil
}

// close removes the stage and drops the lock.
func (d *folder) close() {
	os.RemoveAll(d.stage)
	d.lock.release()
	d.unmake()
}

// unmake removes the folders that this build made, where they are empty.
func (d *folder) unmake() {
	for _, dir := range d.made {
		os.Remove(dir)
	}
}

// repair brings a whole build folder back after a build that was killed, and removes what it left.
//
//	note  target  stage  old
//	-     yes     any    -     killed while making the stage, or after the exchange: drop stage
//	yes   yes     whole  -     killed before the first renaming: drop stage
//	yes   -       whole  yes   killed between the two: complete
//	yes   yes     -      yes   killed after both: drop old
//	-     yes     -      any   killed while dropping old: drop old
func (d *folder) repair(log *journal) error {
	noted := exists(d.note)
	if !exists(d.target) && exists(d.old) {
		from := ""
		switch {
		case noted && wholeBuild(d.stage, d.panel, d.whom):
			from = d.stage
		case noted || wholeBuild(d.old, d.panel, d.whom):
			from = d.old
		}
		if from != "" {
			if err := os.Rename(from, d.target); err != nil {
				return machine("%s: cannot be mended after a build that was cut off: %w", d.shown, bare(err))
			}
			if err := syncDir(d.out); err != nil {
				return err
			}
			log.say("mended %s after a build that was cut off", d.shown)
		}
	}
	faultPoint("mended")
	for _, left := range []string{d.note, d.note + ".new", d.stage, d.old} {
		if !exists(left) {
			continue
		}
		if err := os.RemoveAll(left); err != nil {
			return machine("%s: what an earlier build left cannot be removed: %w", filepath.Base(left), bare(err))
		}
		faultPoint("removed " + filepath.Base(left))
	}
	return nil
}

// desktop names what file browsers strew.
var desktop = []string{".DS_Store", "Thumbs.db", "desktop.ini"}

// replaceable refuses to exchange a folder that holds anything but an earlier build of this panel.
func (d *folder) replaceable() error {
	info, err := os.Lstat(d.target)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return machine("%s: cannot be read: %w", d.shown, bare(err))
	case !info.IsDir():
		return fmt.Errorf("%s: is in the way of the build folder; move it elsewhere", d.shown)
	}
	entries, err := os.ReadDir(d.target)
	if err != nil {
		return machine("%s: cannot be read: %w", d.shown, bare(err))
	}
	if len(entries) == 0 {
		return nil
	}
	if err := d.noSuppliers(entries); err != nil {
		return err
	}
	m, err := readManifest(d.target)
	if err != nil || m.Panel != d.panel || m.Supplier != d.whom {
		return fmt.Errorf("%s: was not made by a build of %s (its %s does not say so), and a build replaces the whole folder; move it elsewhere",
			d.shown, d.what(), manifestName)
	}
	foreign, err := foreignFiles(d.target, m)
	if err != nil {
		return machine("%s: cannot be read: %w", d.shown, bare(err))
	}
	if n := len(foreign); n > 0 {
		names := strings.Join(foreign[:min(n, 3)], ", ")
		if n > 3 {
			names += fmt.Sprintf(" and %d more", n-3)
		}
		return fmt.Errorf("%s: holds files that no build made, and a build replaces the whole folder; move them elsewhere: %s", d.shown, names)
	}
	return nil
}

// noSuppliers refuses to exchange a panel's folder that holds builds for suppliers.
func (d *folder) noSuppliers(entries []fs.DirEntry) error {
	if d.whom != "" {
		return nil
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".panelwright-") {
			return fmt.Errorf("%s: a build for a supplier is running in it, or was cut off, and a build for no supplier replaces the whole folder; build with --supplier, or move it elsewhere", d.shown)
		}
	}
	if whom := suppliersIn(d.target); len(whom) > 0 {
		return fmt.Errorf("%s: holds builds for %s, and a build for no supplier replaces the whole folder; build with --supplier, or move them elsewhere",
			d.shown, strings.Join(whom, ", "))
	}
	return nil
}

// suppliersIn lists the suppliers that a panel's folder holds builds for.
func suppliersIn(dir string) (whom []string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	for _, e := range entries {
		if m, err := readManifest(filepath.Join(dir, e.Name())); err == nil && m.Supplier == e.Name() {
			whom = append(whom, e.Name())
		}
	}
	return whom
}

// Strewn tells whether a file of this name is one that file browsers strew, and that harms no build folder.
func Strewn(name string) bool { return slices.Contains(desktop, name) }

func foreignFiles(dir string, m *Manifest) ([]string, error) {
	ours := map[string]bool{manifestName: true}
	for _, o := range m.Outputs {
		ours[o.Name] = true
	}
	var foreign []string
	err := filepath.WalkDir(dir, func(at string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, at)
		if err != nil {
			return err
		}
		if name := filepath.ToSlash(rel); !ours[name] && !Strewn(e.Name()) {
			foreign = append(foreign, name)
		}
		return nil
	})
	slices.Sort(foreign)
	return foreign, err
}

// swapIn puts the finished stage in the place of the old build. It is quick and does not stop for
// Ctrl-C. When it fails the old build is where it was.
func (d *folder) swapIn(log *journal) error {
	if err := syncTree(d.stage); err != nil {
		return err
	}
	faultPoint("stage synced")
	left := d.stage
	switch {
	case !exists(d.target):
		if err := os.Rename(d.stage, d.target); err != nil {
			return machine("%s: cannot be put in place: %w", d.shown, bare(err))
		}
	case exchange(d.stage, d.target) == nil:
	default:
		if err := d.swapByRenaming(); err != nil {
			return err
		}
		left = d.old
	}
	faultPoint("in place")
	// From here on the new build is in place, whatever happens: what fails is told, not returned.
	if err := syncDir(d.out); err != nil {
		log.say("warning: %v", err)
	}
	faultPoint("in place and synced")
	if err := os.RemoveAll(left); err != nil {
		log.say("warning: the old build cannot be removed: %v; the next build tries again", bare(err))
	}
	faultPoint("old build removed")
	return nil
}

// swapByRenaming is for systems and file systems that cannot exchange two names in one step. A note
// on disk says what is being done, so that the next build can complete it.
func (d *folder) swapByRenaming() error {
	note, err := json.Marshal(map[string]any{
		"schema": 1, "panel": d.panel, "supplier": d.whom,
		"renames": [][2]string{
			{filepath.Base(d.target), filepath.Base(d.old)},
			{filepath.Base(d.stage), filepath.Base(d.target)},
		},
	})
	if err != nil {
		return err
	}
	if err := writeSynced(d.note, append(note, '\n')); err != nil {
		return machine("output folder: cannot be written: %w", bare(err))
	}
	faultPoint("noted")
	if err := os.Rename(d.target, d.old); err != nil {
		os.Remove(d.note)
		return machine("%s: cannot be moved aside, perhaps because a program has one of its files open: %w", d.shown, bare(err))
	}
	if err := syncDir(d.out); err != nil {
		return cmp.Or(d.moveBack(), err)
	}
	faultPoint("old build aside")
	if err := os.Rename(d.stage, d.target); err != nil {
		return cmp.Or(d.moveBack(), machine("%s: cannot be put in place: %w", d.shown, bare(err)))
	}
	faultPoint("new build named")
	syncDir(d.out) // a failure here shows again when the caller syncs
	os.Remove(d.note)
	faultPoint("note removed")
	return nil
}

func (d *folder) moveBack() error {
	if err := os.Rename(d.old, d.target); err != nil {
		return machine("%s: cannot be put back: %w; the next build mends it", d.shown, bare(err))
	}
	os.Remove(d.note)
	return nil
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// writeSynced writes a file that is either absent or complete after a crash.
func writeSynced(path string, data []byte) error {
	f, err := os.OpenFile(path+".new", os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		os.Remove(path + ".new")
		return err
	}
	if err := os.Rename(path+".new", path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// syncTree brings the names in dir and its folders to the disk; the files' contents are there.
func syncTree(dir string) error {
	return filepath.WalkDir(dir, func(at string, e fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return machine("the new build cannot be read: %w", bare(err))
		case e.IsDir():
			return syncDir(at)
		}
		return nil
	})
}

// syncDir brings the names in a folder to the disk. Some file systems cannot, and say so by errors
// that mean no harm.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(dir)
	if err != nil {
		return machine("output folder: cannot be read: %w", bare(err))
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !cannotSync(err) {
		return machine("output folder: cannot be written: %w", bare(err))
	}
	return nil
}
