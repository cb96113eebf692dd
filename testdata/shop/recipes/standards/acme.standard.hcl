# What holds for every panel of the shop (invented).

standard "rails" {
  sides = ["upper", "lower", "left", "right"]
  gap   = "2 mm"
}

standard "breakoff_tabs" {
  cutters = ["2 mm", "1 mm"]
}

standard "acme_serial_area" {
  corner = "upper_left" # where the line's laser stands
  width  = "24 mm"      # ten figures
}

standard "rules" {
  limit "acme-serial-readable" {
    at_least = "6 mm"
    source   = "acme's second line (invented)"
  }
}
