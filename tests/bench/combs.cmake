# How far the comb search is from what physics allows, and how often noise is taken for a comb.
add_library(comb_bench STATIC comb_rows.cpp)
target_include_directories(comb_bench PUBLIC ${PROJECT_SOURCE_DIR}/tests)
target_link_libraries(comb_bench PUBLIC tattletone_match tattletone_tones tattletone_scenes PRIVATE tattletone_flags)
add_executable(comb_limit comb_limit.cpp)
target_link_libraries(comb_limit PRIVATE tattletone_flags comb_bench)
add_executable(comb_alarms comb_alarms.cpp)
target_link_libraries(comb_alarms PRIVATE tattletone_flags tattletone_match tattletone_tones tattletone_scenes)
tattletone_test(NAME comb_test OPTIMISED STATISTICS COST 20 SOURCES comb_test.cpp LIBS comb_bench)
