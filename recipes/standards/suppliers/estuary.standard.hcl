# What Estuary, an invented supplier, can make. The figures are those of fabricators' and assemblers' published
# pages; beside each value stands where it comes from.

standard "array" {
  gap = "2.4 mm" # the slot of simple designs (multi-circuit-boards.eu, milling); 10 mm in mixed ones
}

standard "rails" {
  gap   = "2.4 mm" # the same
  width = "10 mm" # what the limit below asks for
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
  limit "panel-size" {
    at_most = "500 mm"
    source  = "cnfastpcb.com: 50 x 50 to 500 x 460 mm"
  }
  limit "panel-breadth" {
    at_most = "460 mm"
    source  = "cnfastpcb.com: 50 x 50 to 500 x 460 mm"
  }
  limit "panel-short-side" {
    at_least = "50 mm"
    source   = "cnfastpcb.com: 50 x 50 to 500 x 460 mm"
  }
}
