"""What a picture's file says of itself, its upright pixels in sRGB, and the files derived from them."""
