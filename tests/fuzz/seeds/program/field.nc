g20g91(inch)n5
n7 f10 s5000 m3 m8
g1 x.5 y+1. z-.25
g2 x1y1r1
g91.1 g3 x1 j.5 y0
g90.1 g90 g2 x1 y1 i.5 j.5
m0
g80
m30
