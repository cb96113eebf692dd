# What the invented supplier Millrace asks for.
standard "rules" {
  limit "copper-to-edge" { at_least = "0.3 mm" }
}
