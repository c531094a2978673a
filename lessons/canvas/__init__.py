"""
What figures draw with.

`palette` the colours and what each means, `write` numbers as they stand in pictures and
sentences, `pen` the canvas that a figure draws on, `plot` axes that go by factors of ten,
`worldmap` and `globe` the Earth, `vector` the same canvas as SVG, `matplotlib_adapter` what both
take from matplotlib.
"""
