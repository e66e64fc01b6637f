package course

import (
	"henyear/holding"
	"henyear/housing"
)

// BedOf is the litter of a house as it is laid: as told, or as usual.
func BedOf(house holding.House) housing.Litter { return bedOf(house) }
