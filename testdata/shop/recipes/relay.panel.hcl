# Four relay boards in a frame of rails, with room for the panel's serial number on the upper one.
panel "relay-serial" {
  revision = "A"
  built_to = ["standards/acme.standard.hcl"]
}

stage "board" {
  name        = "relay"
  files       = "../../boards/relay"
  part_number = "RG-4005"
  revision    = "D"
}

stage "array" {
  board   = "relay"
  columns = 2
  rows    = 2
  gap     = "2 mm"
}

stage "rails" {}

stage "tooling_holes" {}

stage "fiducials" {}

stage "breakoff_tabs" {}

stage "acme_serial_area" {}

stage "legend" { # beside the patch, wherever it came to lie
  text = "SERIAL"
  at   = [acme_serial.top.x + acme_serial.top.width + 1, acme_serial.top.y + acme_serial.top.height / 2]
}

stage "rules" {}

stage "write_fab" {}

stage "write_assembly" {}

stage "acme_serial_list" {}

stage "write_drawing" {}

stage "write_report" {}
