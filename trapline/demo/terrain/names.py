"""Names for the invented valley, by rank: the largest creek gets the first, and so on."""

CREEKS = (
    "Quillback Creek",
    "Lanternfold Creek",
    "Whetbrook",
    "Coldhandle Creek",
    "Ashpole Creek",
    "Marrowby Creek",
    "Sledrunner Creek",
    "Tindercup Brook",
    "Nettlebank Creek",
    "Threemitten Brook",
)
LAKES = (
    "Longmitten Lake",
    "Hollowkettle Lake",
    "Sedgewater",
    "Lower Buttonhole",
    "Upper Buttonhole",
    "Thimblewater",
    "Spindle Pond",
    "Lidless Pond",
)
MARSHES = ("Tussock Flats", "Frostquill Marsh", "Bittercrane Marsh")
PEAKS = (
    "Harrowfell",
    "The Anvilback",
    "Greymitten",
    "Tinderback Ridge",
    "Saddlecloth",
    "Windloft",
    "Cinderhat",
    "Lampblack Hill",
)
CABIN = "Kettlestone Cabin"
ROAD = "Ridgefoot Road"
TRAILS = ("Kettlestone Trail", "Longmitten Shore Trail", "Anvilback Trail")
DWELLINGS = (
    "Ridgefoot Lodge",
    "Ridgefoot Store",
    "House at the bridge",
    "Blue roof house",
    "Millshed house",
    "Last house",
)
LINES = ("Creek line", "Ridge loop", "Marsh and lake line")
ZONES = (("QB-N", "Quillback North"), ("QB-S", "Quillback South"))
VALLEY = "Quillback Valley"
