# Boards that people break out of the panel by hand along perforated tabs.
built_to = ["shop.standard.hcl"]

standard "array" {
  gap = "2 mm"
}

standard "rails" {
  gap           = "2 mm"
  corner_radius = "2 mm"
}

standard "breakoff_tabs" {
  hole_diameter     = "0.5 mm"
  between_holes     = "0.3 mm"
  longest_free_span = "60 mm"
  longest_overhang  = "30 mm"
  from_corner       = "4 mm"
}
