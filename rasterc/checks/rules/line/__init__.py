"""Does the code fit the line: raster, speed, room on the product?"""
