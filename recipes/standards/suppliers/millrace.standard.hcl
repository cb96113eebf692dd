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
  limit "copper-to-score" {
    at_least = "15 mil"
    source   = "my4pcb.com: 0.015 in (0.381 mm) from outer layers to a score line"
  }
  limit "inner-copper-to-score" {
    at_least = "20 mil"
    source   = "my4pcb.com: 0.020 in (0.508 mm) from inner layers to a score line"
  }
  limit "score-thickness" {
    at_least = "0.5 mm"
    source   = "pcbbaltic.lt, tolerances"
  }
  limit "scored-panel-side" {
    at_least = "75 mm"
    source   = "lynniezulu.com: 75 x 75 to 450 x 1245 mm"
  }
  limit "hole-spacing" {
    at_least = "10 mil"
    source   = "sparkfun.com/news/4400: holes of 15 mil every 25 mil, 0.254 mm between them"
  }
  limit "fabricator-panel-size" {
    at_most = "457 mm"
    source  = "scribd 399208079: 76 x 76 to 457 x 406 mm"
  }
  limit "fabricator-panel-breadth" {
    at_most = "406 mm"
    source  = "scribd 399208079: 76 x 76 to 457 x 406 mm"
  }
  limit "fabricator-panel-long-side" {
    at_least = "76 mm"
    source   = "scribd 399208079: 76 x 76 to 457 x 406 mm"
  }
  limit "fabricator-panel-short-side" {
    at_least = "76 mm"
    source   = "scribd 399208079: 76 x 76 to 457 x 406 mm"
  }
}
