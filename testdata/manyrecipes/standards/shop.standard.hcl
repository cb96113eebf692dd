# What holds for every panel of the shop. The values are those of recipes/standards, which names their sources.
standard "fiducials" {
  copper_diameter = "1 mm"
  mask_diameter   = "2 mm"
  clear_diameter  = "3 mm"
}

standard "tooling_holes" {
  diameter = "3 mm"
}

standard "support" {
  grip  = "5 mm"
  force = "2 N"
}

standard "rules" {
  limit "copper-to-edge" { at_least = "0.25 mm" }
  limit "inner-copper-to-edge" { at_least = "0.4 mm" }
}
