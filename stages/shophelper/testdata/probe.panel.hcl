# Four water probes with serial numbers from the shop's own program, and a table for its label printer.
panel "probe-4up" {
  revision = "A"
}

given "lot" {
  value = "2531"
}

stage "board" {
  name        = "probe"
  files       = "boards/probe"
  part_number = "RG-3010"
  revision    = "A"
  thickness   = "1.6 mm"
}

stage "array" {
  board   = "probe"
  columns = 4
  rows    = 1
  gap     = "2 mm"
}

stage "rails" {
  sides = ["upper", "lower"]
  width = "8 mm"
  gap   = "2 mm"
}

stage "breakoff_tabs" {
  cutters = ["2 mm", "1 mm"]
}

stage "shop_helper" {
  name    = "serial"
  command = ["python3", "serial.py"]
  files   = ["helpers/serial.py", "helpers/prefixes.csv"]

  setting "first" {
    value = 1207
  }

  setting "last" {
    value = 1209
  }

  setting "letter_height" {
    value = mm(1.5)
  }

  settles "next" {
    type = "number"
  }
}

stage "rules" {}

stage "write_fab" {}

stage "shop_helper" {
  name    = "labels"
  role    = "write"
  command = ["labels.sh", given.lot]
  files   = ["helpers/labels.sh"]
  outputs = ["labels.csv"]
}
