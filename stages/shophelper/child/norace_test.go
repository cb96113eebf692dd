//go:build !race && unix

package child

const raced = false
