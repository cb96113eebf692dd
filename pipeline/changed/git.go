package changed

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// mostWait is how long one call of git may take. Comparing a large working tree on a slow disk takes a minute.
const mostWait = 10 * time.Minute

// git runs the program git in a folder.
type git struct {
	program string
	dir     string
	wait    time.Duration
}

// failure is how a call of git ended.
type failure struct {
	did  string
	said string // on standard error
	err  error
}

func (f *failure) Error() string {
	if first, _, _ := strings.Cut(strings.TrimSpace(f.said), "\n"); first != "" {
		return f.did + ": " + first
	}
	return f.did + ": " + f.err.Error()
}

// newGit finds the program. Where the environment says which repository is meant (GIT_DIR, as in a hook), that is the one, and
// git runs where the program was started.
func newGit(dir string) (*git, error) {
	program, err := exec.LookPath("git")
	if err != nil {
		return nil, &run.MachineError{Err: errors.New("the program git, which tells what has changed, is not there: install it, or put its folder into PATH")}
	}
	if os.Getenv("GIT_DIR") != "" {
		dir = ""
	}
	return &git{program, dir, mostWait}, nil
}

// ask runs one command and gives what it prints. No shell is in between, nothing is asked of people, and
// nothing changes but what Git remembers of files' dates.
func (g *git) ask(ctx context.Context, args ...string) (string, error) {
	limited, cancel := context.WithTimeout(ctx, g.wait)
	defer cancel()
	c := exec.CommandContext(limited, g.program, append([]string{"--no-optional-locks"}, args...)...)
	c.Dir, c.WaitDelay = g.dir, 2*time.Second
	c.Env = append(c.Environ(), "LC_ALL=C", "GIT_TERMINAL_PROMPT=0")
	var out, said bytes.Buffer
	c.Stdout, c.Stderr = &out, &said
	err := c.Run()
	switch {
	case ctx.Err() != nil:
		return "", run.ErrInterrupted
	case limited.Err() != nil:
		return "", &run.MachineError{Err: fmt.Errorf("git %s did not end within %s; run it by hand to see why", verb(args), g.wait)}
	case err == nil:
		return out.String(), nil
	}
	f := &failure{"git " + verb(args), said.String(), err}
	if known := g.known(f.said); known != nil {
		return "", known
	}
	if exit := (*exec.ExitError)(nil); !errors.As(err, &exit) {
		return "", &run.MachineError{Err: f}
	}
	return "", f
}

// verb gives the command among a call's arguments.
func verb(args []string) string {
	for len(args) > 2 && args[0] == "-c" {
		args = args[2:]
	}
	return args[0]
}

// known words what people meet, by what git says in its own language; nil for anything else.
func (g *git) known(said string) error {
	dir := filepath.ToSlash(g.dir)
	if dir == "" || dir == "." {
		dir = "the working folder"
	}
	switch {
	case strings.Contains(said, "dubious ownership"):
		text := "Git does not trust the repository that " + dir + " lies in, for it belongs to somebody else"
		if _, rest, ok := strings.Cut(said, "git config --global --add safe.directory "); ok {
			line, _, _ := strings.Cut(rest, "\n")
			text += "; if you trust it: git config --global --add safe.directory " + strings.TrimSpace(line)
		}
		return errors.New(text)
	case strings.Contains(said, "not a git repository"):
		return fmt.Errorf("%s lies in no Git repository, so nobody can tell what has changed", dir)
	case strings.Contains(said, "must be run in a work tree"):
		return fmt.Errorf("%s lies in a Git repository without a working tree", dir)
	}
	return nil
}

// top gives the top folder of the working tree, without links.
func (g *git) top(ctx context.Context) (string, error) {
	out, err := g.ask(ctx, "rev-parse", "--show-toplevel")
	if err != nil {
		return "", err
	}
	top := filepath.FromSlash(strings.TrimSuffix(out, "\n"))
	if top == "" {
		return "", g.known("must be run in a work tree")
	}
	if real, err := filepath.EvalSymlinks(top); err == nil {
		top = real
	}
	return top, nil
}

// commit gives the commit that a revision means.
func (g *git) commit(ctx context.Context, rev string) (string, error) {
	switch {
	case rev == "":
		return "", errors.New("the revision is empty: name a commit, a branch or a tag, such as main")
	case strings.HasPrefix(rev, "-"):
		return "", fmt.Errorf("%q is no revision: none begins with a hyphen", rev)
	case strings.ContainsRune(rev, 0):
		return "", fmt.Errorf("%q is no revision", rev)
	}
	object, err := g.ask(ctx, "rev-parse", "--verify", "--quiet", rev+"^{commit}")
	if object = strings.TrimSpace(object); err == nil && strings.Trim(object, "0123456789abcdef") == "" {
		return object, nil
	}
	if f := (*failure)(nil); err != nil && !errors.As(err, &f) {
		return "", err
	}
	return "", g.unknown(ctx, rev)
}

// unknown says what may be wrong with a revision that git does not know.
func (g *git) unknown(ctx context.Context, rev string) error {
	text := fmt.Sprintf("there is no commit %q in the repository", rev)
	if a, b, ok := strings.Cut(rev, "..."); ok {
		return fmt.Errorf("%s: name one revision; where %s branched off: $(git merge-base %s %s)", text, orHead(b), orHead(a), orHead(b))
	}
	if a, _, ok := strings.Cut(rev, ".."); ok {
		return fmt.Errorf("%s: name one revision, %s; what is there now is what it is held against", text, orHead(a))
	}
	if names, err := g.ask(ctx, "for-each-ref", "--format=%(refname:short)", "refs/heads", "refs/tags", "refs/remotes"); err == nil {
		list := strings.Fields(names)
		for _, n := range list {
			if strings.HasSuffix(n, "/"+rev) && strings.Count(n, "/") == 1+strings.Count(rev, "/") {
				return fmt.Errorf("%s; there is %s", text, n)
			}
		}
		if n := pipeline.Nearest(rev, list); n != "" {
			return fmt.Errorf("%s; nearest: %s", text, n)
		}
	}
	if shallow, err := g.ask(ctx, "rev-parse", "--is-shallow-repository"); err == nil && strings.TrimSpace(shallow) == "true" {
		return fmt.Errorf("%s: it was fetched without its whole history; have the build server fetch all of it (fetch-depth: 0), or git fetch --unshallow", text)
	}
	return errors.New(text + "; name a commit, a branch or a tag, and git fetch what is not here yet")
}

func orHead(rev string) string {
	if rev == "" {
		return "HEAD"
	}
	return rev
}
