"""The invented set-up that the bench's tests read."""

HARBOUR = """
name = "Harbour gun"
made_for = "Ines (invented)"
[diver]
load_capacity = "51 kgf"
reach = "90 cm"
[band]
outer_diameter = "16 mm"
bore = "3 mm"
relaxed_length = "65 cm"
[shaft]
diameter = "7 mm"
length = "160 cm"
[barrel]
length = "120 cm"
[line]
diameter = "1.7 mm"
wraps = 1
[assist]
length = "35 cm"
"""
