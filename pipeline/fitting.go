package pipeline

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
)

// ruleName is the form of a rule's name; that of a kind's is an option's.
var ruleName = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

// Unfitting is what keeps a program from running: a kind or a rule that it is put together from does not fit it. No recipe
// can mend that.
type Unfitting struct {
	Of   string // "stage acme_serial_area", "rule acme-serial-readable"
	What string // the rest of the sentence
	Do   string // what to do about it
}

// Error states what does not fit, and on a line of its own what to do.
func (u *Unfitting) Error() string { return u.Of + " " + u.What + "\n    " + u.Do }

// CheckProgram tells whether kinds and rules make a program: written for the contract that it serves, no name given twice or in
// another form, options with tags that fit. It gives all that does not, as *Unfitting joined by errors.Join.
func CheckProgram(kinds []Kind, rules []Rule) error {
	var f fitting
	f.twice = map[string]bool{}
	for _, k := range kinds {
		f.kind(k)
	}
	for _, r := range rules {
		f.rule(r, rules)
	}
	return errors.Join(f.errs...)
}

type fitting struct {
	errs  []error
	twice map[string]bool
}

func (f *fitting) add(of, what, do string) { f.errs = append(f.errs, &Unfitting{of, what, do}) }

func (f *fitting) kind(k Kind) {
	of := "stage " + k.Name
	if !optionName.MatchString(k.Name) {
		of = fmt.Sprintf("stage %q", k.Name)
		f.add(of, "has a name that recipes cannot write", "name it with lower-case words joined by underscores, a shop's own with the shop's name in front: acme_serial_area")
	}
	f.once(of, "stages", k.Name, "acme_"+k.Name)
	f.contract(of, k.Contract, "pipeline.Kind")
	if k.Role < Source || k.Role > Write {
		f.add(of, "has none of the four roles", "set Role in its pipeline.Kind to pipeline.Source, Shape, Judge or Write")
	}
	if strings.TrimSpace(k.Summary) == "" {
		f.add(of, "says nothing of itself", "give its pipeline.Kind a Summary, one sentence")
	}
	if k.New == nil {
		f.add(of, "cannot be made", "give its pipeline.Kind a New, which returns a pointer to its options with their defaults set")
		return
	}
	s := k.New()
	if s == nil {
		f.add(of, "is nil when it is made", "have New return a pointer to its options with their defaults set")
		return
	}
	if _, err := OptionsOf(s); err != nil {
		f.add(of, "has options that cannot be read: "+err.Error(), "mend the struct of its options; the tags are told of in pipeline/options.go")
	}
}

func (f *fitting) rule(r Rule, all []Rule) {
	of := "rule " + r.Name
	if !ruleName.MatchString(r.Name) {
		of = fmt.Sprintf("rule %q", r.Name)
		f.add(of, "has a name of another form than rules have", "name it with lower-case words joined by hyphens, a shop's own with the shop's name in front: acme-serial-readable")
	}
	f.once(of, "rules", r.Name, "acme-"+r.Name)
	f.contract(of, r.Contract, "pipeline.Rule")
	if strings.TrimSpace(r.Summary) == "" {
		f.add(of, "says nothing of itself", "give it a Summary, one sentence")
	}
	if (r.Judge == nil) == (r.JudgedBy == "") {
		f.add(of, "is judged by nobody, or by two", "give it either Judge, or JudgedBy with the stage that judges it: stage acme_serial_area")
	}
	if r.Severity != Error && r.Severity != Warning && r.Severity != Note {
		f.add(of, fmt.Sprintf("weighs %q, which is no severity", string(r.Severity)), "set Severity to pipeline.Error, Warning or Note")
	}
	if r.Bound != AtLeast && r.Bound != AtMost && r.Bound != NoBound {
		f.add(of, fmt.Sprintf("has the bound %q, which is none", string(r.Bound)), "set Bound to pipeline.AtLeast, AtMost or NoBound")
	}
	if r.Bound == NoBound && (r.Default != nil || r.DefaultFor != nil) {
		f.add(of, "has a limit and no bound", "set Bound to pipeline.AtLeast or AtMost, or take the limit away")
	}
	if r.NotLessThan == "" {
		return
	}
	names := make([]string, len(all))
	for i, x := range all {
		if names[i] = x.Name; x.Name == r.NotLessThan {
			return
		}
	}
	what := fmt.Sprintf("asks for no less than the rule %q does, which there is not", r.NotLessThan)
	if n := Nearest(r.NotLessThan, names); n != "" {
		what += "; nearest: " + n
	}
	f.add(of, what, "name a rule of the program in NotLessThan, or none")
}

// once refuses a name that was given before, of kinds or of rules.
func (f *fitting) once(of, among, name, better string) {
	if f.twice[of] {
		f.add(of, "is there twice", fmt.Sprintf("two %s of a program have two names; a shop's own begin with the shop's: %s", among, better))
	}
	f.twice[of] = true
}

// contract refuses what is written for another version of the contract.
func (f *fitting) contract(of string, version int, in string) {
	switch {
	case version == Contract:
	case version == 0:
		f.add(of, "does not say which version of the contract it is written for",
			fmt.Sprintf("this program serves version %d: if that is what it is written for, set Contract: %[1]d in its %s, the number itself", Contract, in))
	case version > Contract:
		f.add(of, fmt.Sprintf("is written for version %d of the contract, and this program serves version %d", version, Contract),
			fmt.Sprintf("build this program with a panelwright that serves version %d", version))
	default:
		f.add(of, fmt.Sprintf("is written for version %d of the contract, and this program serves version %d", version, Contract),
			fmt.Sprintf("bring it up to version %d and set Contract: %[1]d in its %s, or build this program with a panelwright that serves version %d", Contract, in, version))
	}
}
