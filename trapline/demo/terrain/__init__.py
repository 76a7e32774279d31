"""An invented boreal valley by seed: its ground, its map and its season's weather.

`build.build(seed)` makes the valley, `draw.tiles.render_tiles` and `draw.sheet.render_sheet` draw
it, `draw.store` says where a tile lies, `weather.weather(seed, start, days)` makes the weather.
"""
