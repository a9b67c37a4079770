package assembly

import "sluice/lint/kit"

// Brief rebuilds a kit as Soon does, without remembering it.
func Brief(k *kit.Kit) *Kit { return of(k, soonRounds, mostTries) }
