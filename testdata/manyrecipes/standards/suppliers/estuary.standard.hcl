# What the invented supplier Estuary asks for.
standard "rules" {
  limit "copper-to-edge" { at_least = "0.2 mm" }
  limit "hole-spacing" { at_least = "0.2 mm" }
}
