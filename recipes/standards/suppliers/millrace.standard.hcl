# What Millrace, an invented supplier, can make. The figures are those of fabricators' and assemblers' published
# pages; beside each value stands where it comes from.

standard "array" {
  gap = "2.54 mm" # the slot: 0.1 in (my4pcb.com; docs.oshpark.com, panelized designs)
}

standard "rails" {
  gap = "2.54 mm" # the same
}

standard "breakoff_tabs" {
  slot_width = "2.54 mm" # the same
}

standard "tooling_holes" {
  diameter = "3.175 mm" # 1/8 in, in four corners (bestproto.net)
}

standard "rules" {
  limit "copper-to-edge" {
    at_least = "10 mil"
    source   = "my4pcb.com: 0.010 in (0.254 mm) from outer layers to a routed edge"
  }
  limit "inner-copper-to-edge" {
    at_least = "15 mil"
    source   = "my4pcb.com: 0.015 in (0.381 mm) from inner layers to a routed edge"
  }
  limit "rail-width" {
    at_least = "0.25 in"
    source   = "bestproto.net; goldphoenixpcb.com: 6.35 mm"
  }
  limit "panel-size" {
    at_most = "457 mm"
    source  = "an assembler's page (scribd 399208079): 76 x 76 to 457 x 406 mm"
  }
  limit "panel-breadth" {
    at_most = "406 mm"
    source  = "an assembler's page (scribd 399208079): 76 x 76 to 457 x 406 mm"
  }
  limit "panel-short-side" {
    at_least = "76 mm"
    source   = "an assembler's page (scribd 399208079): 76 x 76 to 457 x 406 mm"
  }
}
