package recipe

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const supplied = `-- p.panel.hcl --
panel "p" {
  revision = "A"
  built_to = ["shop.standard.hcl", "common.standard.hcl"]
}
supplier "north" {
  built_to = ["north.standard.hcl"]
}
supplier "south" {
  built_to = ["south.standard.hcl", "common.standard.hcl"]
}
supplier "west" {
  built_to = ["not-there.standard.hcl"]
}
stage "rules" {
  limit "panel-size" {
    severity = "note"
  }
}
stage "write_fab" {}
-- shop.standard.hcl --
built_to = ["group.standard.hcl", "south.standard.hcl"]
standard "write_fab" {
  digits = 11
}
standard "rules" {
  limit "panel-size" {
    at_most  = mm(300)
    severity = "warning"
  }
  limit "copper-to-edge" {
    at_least = 0.3
  }
}
-- group.standard.hcl --
standard "rules" {
  limit "copper-to-edge" {
    at_least = 0.2
  }
}
-- common.standard.hcl --
standard "write_fab" {
  digits = 11
}
-- north.standard.hcl --
standard "write_fab" {
  digits = 9
}
standard "rules" {
  limit "copper-to-edge" {
    at_least = 0.25
  }
  limit "panel-size" {
    at_most  = mm(310)
    severity = "error"
  }
}
-- south.standard.hcl --
built_to = ["base.standard.hcl"]
standard "rules" {
  limit "copper-to-edge" {
    at_least = 0.254
  }
}
-- base.standard.hcl --
standard "rules" {
  limit "copper-to-edge" {
    at_least = 0.5
    severity = "note"
  }
}
`

// What a supplier's standards say counts before the recipe's own standards, and after the recipe itself; its
// standards' own standards count after them, and before the recipe's own too.
func TestSuppliersStandards(t *testing.T) {
	dir := write(t, supplied)
	at := filepath.Join(dir, "p.panel.hcl")
	assert.Equal(t, []string{"north", "south", "west"}, GlanceAt(at).Suppliers)
	assert.Empty(t, GlanceAt(filepath.Join(dir, "none.panel.hcl")).Suppliers)
	type row struct{ option, value, origin string }
	for supplier, want := range map[string][]row{
		"": {
			{"digits", "11", "shop.standard.hcl:3"}, {"limit panel-size at_most", "\"300 mm\"", "shop.standard.hcl:7"}, {"limit panel-size severity", `"note"`, "p.panel.hcl:16"},
			{"limit copper-to-edge at_least", "0.3", "shop.standard.hcl:11"}, {"limit copper-to-edge severity", `"note"`, "base.standard.hcl:4"},
		},
		"north": {
			{"digits", "9", "north.standard.hcl:2"}, {"limit panel-size at_most", "\"310 mm\"", "north.standard.hcl:9"}, {"limit panel-size severity", `"note"`, "p.panel.hcl:16"},
			{"limit copper-to-edge at_least", "0.25", "north.standard.hcl:6"}, {"limit copper-to-edge severity", `"note"`, "base.standard.hcl:4"},
		},
		// The shop's own standard is built to south's; for south that counts first all the same.
		"south": {
			{"digits", "11", "common.standard.hcl:2"}, {"limit panel-size at_most", "\"300 mm\"", "shop.standard.hcl:7"}, {"limit panel-size severity", `"note"`, "p.panel.hcl:16"},
			{"limit copper-to-edge at_least", "0.254", "south.standard.hcl:4"}, {"limit copper-to-edge severity", `"note"`, "base.standard.hcl:4"},
		},
	} {
		s := fakes()
		s.Supplier = supplier
		plan, err := Load(at, s)
		require.NoError(t, err)
		assert.Equal(t, supplier, plan.Supplier)
		var got []row
		for _, c := range plan.Calls {
			for _, x := range c.Settled(nil) {
				if x.Value != "" && x.Origin != "default" {
					got = append(got, row{x.Option, x.Value, x.Origin})
				}
			}
		}
		assert.ElementsMatch(t, want, got, supplier)
		assert.Equal(t, []string{"north", "south", "west"}, plan.Suppliers)
	}
	for supplier, want := range map[string]string{
		"nroth": "--supplier nroth: the recipe has no supplier \"nroth\"; nearest: north\n    its suppliers are north, south and west",
		"west":  "p.panel.hcl:12:15: standard not-there.standard.hcl: no such file\n    built_to = [\"not-there.standard.hcl\"]\n                ^^^^^^^^^^^^^^^^^^^^^^^^\n    the path is relative to the folder of the file that names it",
	} {
		s := fakes()
		s.Supplier = supplier
		_, err := Load(at, s)
		assert.EqualError(t, err, want)
	}
}
