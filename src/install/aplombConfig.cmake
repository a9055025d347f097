# Gives aplomb::aplomb and, where they were built, aplomb::files, aplomb::clip and aplomb::fit: static, or shared with BUILD_SHARED_LIBS ON, as a
# library that is built along would be. By name: aplomb::aplomb_static, aplomb::aplomb_shared, aplomb::files_static,
# aplomb::files_shared.
include(${CMAKE_CURRENT_LIST_DIR}/aplombTargets.cmake)

if(TARGET aplomb::fit_static)
  # Only who links it needs Ceres Solver.
  find_package(Ceres QUIET)
endif()

foreach(aplomb_library aplomb files clip fit)
  foreach(aplomb_kind static shared)
    set(aplomb_target aplomb::${aplomb_library}_${aplomb_kind})
    if(TARGET ${aplomb_target} AND aplomb_kind STREQUAL "static" AND NOT CMAKE_CXX_COMPILER_LOADED)
      # A project in C alone has no C++ linker to find these.
      set_property(TARGET ${aplomb_target} APPEND PROPERTY INTERFACE_LINK_LIBRARIES stdc++ m)
    endif()
  endforeach()
  if(BUILD_SHARED_LIBS)
    set(aplomb_target aplomb::${aplomb_library}_shared)
  else()
    set(aplomb_target aplomb::${aplomb_library}_static)
  endif()
  if(TARGET ${aplomb_target} AND NOT TARGET aplomb::${aplomb_library})
    add_library(aplomb::${aplomb_library} ALIAS ${aplomb_target})
  endif()
endforeach()
unset(aplomb_library)
unset(aplomb_kind)
unset(aplomb_target)
