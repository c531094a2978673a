// The lessons write their formulas in letters: there is nothing to set, and nothing to load.
