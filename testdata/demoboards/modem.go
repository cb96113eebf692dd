package main

func modem() *board { b := &board{name: "modem"}; b.prepare(); return b }
func probe() *board { b := &board{name: "probe"}; b.prepare(); return b }
func relay() *board { b := &board{name: "relay"}; b.prepare(); return b }
