# SPDX-License-Identifier: MIT
# Puts style, script, module and beekeeper into the page, in the working folder. -DPAGE=the folder of its parts.
file(READ ${PAGE}/page.html page)
foreach(part STYLE:${PAGE}/style.css SCRIPT:${PAGE}/page.js DOTS:${PAGE}/dots.js DESK:desk.b64 BEEKEEPER:beekeeper.b64)
  string(REGEX MATCH "^([A-Z]+):(.*)$" matched ${part})
  set(name ${CMAKE_MATCH_1})
  file(READ ${CMAKE_MATCH_2} text)
  string(REPLACE "@${name}@" "${text}" page "${page}")
endforeach()
file(WRITE worksheet.html "${page}")
