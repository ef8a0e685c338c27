# Calibration of the match on simulated boards at tone level, and the fitting of its parameters.
add_library(match_bench STATIC match_boards.cpp match_score.cpp scene_units.cpp)
target_include_directories(match_bench PUBLIC ${PROJECT_SOURCE_DIR}/tests)
target_link_libraries(match_bench PUBLIC tattletone_match tattletone_scenes PRIVATE tattletone_flags Threads::Threads)
foreach(program match_calibration match_fit)
    add_executable(${program} ${program}.cpp)
    target_link_libraries(${program} PRIVATE tattletone_flags match_bench)
endforeach()
tattletone_test(NAME match_calibration_test OPTIMISED STATISTICS COST 8 SOURCES match_calibration_test.cpp LIBS match_bench)
