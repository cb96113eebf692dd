# What holds for every panel of the shop, however its boards are parted: marks, thieving, how many boards may be bad,
# what panels are made from. The standards for each way of parting are built to this one.
# Beside each value stands where it comes from.

standard "fiducials" {
  copper_diameter = "1 mm" # an assembler's guideline (seeedstudio.com, 2017-07-28)
  mask_diameter   = "2 mm" # the same
  clear_diameter  = "3 mm" # the same
}

standard "tooling_holes" {
  diameter = "4 mm" # an assembler's guideline (pandawillcircuits.com): 4.0 mm, centred 5 mm from both edges
  inward_x = "5 mm" # the same
  inward_y = "5 mm" # the same
}

standard "support" {
  grip  = "5 mm" # an assembler's advice (boardor.com): 3.0 mm of an edge are held, 5.0 mm advised
  force = "2 N"  # from memory, no published source: placement heads press with 1 to 5 N
}

standard "bad_board_marks" {
  diameter        = "2 mm" # from memory, no published source: cameras look for 1 to 3 mm
  mask_diameter   = "3 mm" # from memory, no published source: bare round the dot, as round a fiducial
  from_panel_edge = "3 mm" # conveyors hold 3.0 mm (boardor.com)
}

standard "thieving" {
  dot_diameter    = "1.5 mm" # from memory, no published source
  dot_pitch       = "2 mm"   # the same
  line_width      = "0.5 mm" # the same
  line_pitch      = "2 mm"   # the same
  from_board      = "1 mm"   # the same
  from_break      = "0.5 mm" # more than 0.40 mm to a routed edge on inner layers and 0.45 mm to a score line (eurocircuits.de, customer-panel guidelines)
  from_panel_edge = "0.5 mm" # the same
}

standard "rules" {
  # Bad copies (X-out), by a fabricator's page (lhd-pcb.com); stated in the papers with or without bad-board marks.
  x_out_percent = 10 # a fabricator's page (lhd-pcb.com); another's says less than 10 % (explus.com.tw)
  x_out {
    copies  = 4
    at_most = 0
    source  = "the shop's standard"
  }
  x_out {
    copies  = 10
    at_most = 1
    source  = "the shop's standard"
  }
  x_out {
    copies  = 20
    at_most = 2
    source  = "the shop's standard"
  }
  x_out {
    copies  = 30
    at_most = 3
    source  = "the shop's standard"
  }

  limit "rail-width" {
    at_least = "5 mm"
    source   = "an assembler's advice (boardor.com): 3 mm are held, 5 mm advised"
  }
  # The sizes that fabricators prefer, with the border for boards with inner layers; 0.5 in do without them
  # (Design007, June 2021, pages 84 and 85). Between: a cutter of 2 mm and some, from memory, no published source.
  production_panel "12x18" {
    width   = "12 in"
    height  = "18 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
  production_panel "18x24" {
    width   = "18 in"
    height  = "24 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
  production_panel "21x24" {
    width   = "21 in"
    height  = "24 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
}

standard "write_drawing" {
  owner          = "Weir and Staff Instruments" # invented, as all of this demo
  department     = "Hydrometry"
  classification = "panel, fabrication"
  npth_tolerance = "0.076 mm" # 3 mil: common practice, no published source
}
