# What Estuary, an invented supplier, can make. The figures are those of fabricators' and assemblers' published
# pages; beside each value stands where it comes from.

standard "array" {
  gap = "2.4 mm" # the slot of simple designs (multi-circuit-boards.eu, milling); 10 mm in mixed ones
}

standard "rails" {
  gap   = "2.4 mm" # the same
  width = "10 mm"  # what the limit below asks for
}

standard "breakoff_tabs" {
  slot_width = "2.4 mm" # the same
}

standard "rules" {
  limit "copper-to-edge" {
    at_least = "0.2 mm"
    source   = "multi-circuit-boards.eu, milling"
  }
  limit "inner-copper-to-edge" {
    at_least = "0.2 mm"
    source   = "multi-circuit-boards.eu, milling, which tells no layers apart"
  }
  limit "rail-width" {
    at_least = "10 mm"
    source   = "tttrading.co.za; pandawillcircuits.com"
  }
  limit "copper-to-score" {
    at_least = "0.5 mm"
    source   = "multi-circuit-boards.eu, v-scoring"
  }
  limit "inner-copper-to-score" {
    at_least = "0.5 mm"
    source   = "multi-circuit-boards.eu, v-scoring, which tells no layers apart"
  }
  limit "score-thickness" {
    at_least = "0.8 mm"
    source   = "multi-circuit-boards.eu, v-scoring: 1.0 mm is advised"
  }
  limit "hole-spacing" {
    at_least = "0.3 mm"
    source   = "jlcpcb.com, panelization guide: 0.30 mm at least between perforations"
  }
  limit "fabricator-panel-size" {
    at_most = "500 mm"
    source  = "cnfastpcb.com: 50 x 50 to 500 x 460 mm"
  }
  limit "fabricator-panel-breadth" {
    at_most = "460 mm"
    source  = "cnfastpcb.com: 50 x 50 to 500 x 460 mm"
  }
  limit "fabricator-panel-long-side" {
    at_least = "50 mm"
    source   = "cnfastpcb.com: 50 x 50 to 500 x 460 mm"
  }
  limit "fabricator-panel-short-side" {
    at_least = "50 mm"
    source   = "cnfastpcb.com: 50 x 50 to 500 x 460 mm"
  }
  limit "fabricator-thickness-least" {
    at_least = "0.3 mm"
    source   = "cnfastpcb.com: 0.3 to 4.0 mm"
  }
  limit "fabricator-thickness-most" {
    at_most = "4 mm"
    source  = "cnfastpcb.com: 0.3 to 4.0 mm"
  }
}
