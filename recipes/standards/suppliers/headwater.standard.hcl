# What Headwater, an invented supplier, can make. The figures are those of a fabricator's published pages; beside
# each value stands where it comes from.

standard "array" {
  gap = "2 mm" # the slot: 2.0 mm least and standard (eurocircuits.de, customer-panel guidelines)
}

standard "rails" {
  gap = "2 mm" # the same
}

standard "breakoff_tabs" {
  slot_width = "2 mm" # the same
}

standard "rules" {
  limit "copper-to-edge" {
    at_least = "0.25 mm"
    source   = "eurocircuits.de, customer-panel guidelines: outer layers to a routed edge"
  }
  limit "inner-copper-to-edge" {
    at_least = "0.4 mm"
    source   = "eurocircuits.de, customer-panel guidelines: inner layers to a routed edge"
  }
  limit "rail-width" {
    at_least = "5 mm"
    source   = "eurocircuits.de, customer-panel guidelines"
  }
  limit "copper-to-score" {
    at_least = "0.45 mm"
    source   = "eurocircuits.de, customer-panel guidelines: all layers"
  }
  limit "inner-copper-to-score" {
    at_least = "0.45 mm"
    source   = "eurocircuits.de, customer-panel guidelines: all layers"
  }
  limit "scored-panel-side" {
    at_least = "100 mm"
    source   = "eurocircuits.de, customer-panel guidelines"
  }
  limit "fabricator-panel-size" {
    at_most = "426 mm"
    source  = "eurocircuits.com/?p=3632: 36 x 46 to 326 x 426 mm"
  }
  limit "fabricator-panel-breadth" {
    at_most = "326 mm"
    source  = "eurocircuits.com/?p=3632: 36 x 46 to 326 x 426 mm"
  }
  limit "fabricator-panel-long-side" {
    at_least = "46 mm"
    source   = "eurocircuits.com/?p=3632: 36 x 46 to 326 x 426 mm"
  }
  limit "fabricator-panel-short-side" {
    at_least = "36 mm"
    source   = "eurocircuits.com/?p=3632: 36 x 46 to 326 x 426 mm"
  }
  limit "fabricator-thickness-least" {
    at_least = "0.5 mm"
    source   = "from memory, no published source: 0.5 to 3.2 mm without asking"
  }
  limit "fabricator-thickness-most" {
    at_most = "3.2 mm"
    source  = "from memory, no published source: 0.5 to 3.2 mm without asking"
  }
}
