package run

func cannotSync(error) bool { return true }
