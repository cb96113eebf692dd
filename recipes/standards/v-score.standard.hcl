# Boards that are parted along V-score lines.
# Beside each value stands where it comes from.

standard "array" {
  gap = 0 # abutted boards share one line: common practice, no published source
}

standard "rails" {
  gap = 0 # the line runs between board and rail: common practice, no published source
}

standard "score_lines" {
  remaining_web  = "0.3 mm" # to 2.0 mm thickness (wedirekt.co.uk, routing and scoring)
  included_angle = "30 deg" # the whole angle (the same); some suppliers name half of it: ask
}

standard "rules" {
  limit "copper-to-score" {
    at_least = "0.5 mm" # boards about 1.55 mm thick (wedirekt.co.uk, routing and scoring)
  }
  limit "rail-width" {
    at_least = "5 mm" # an assembler's advice (boardor.com): 3 mm are held, 5 mm advised
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
