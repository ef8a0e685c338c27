# What the numbers of the gates cost and save.
add_library(rejection_bench STATIC rejection_recordings.cpp rejection_numbers.cpp rejection_count.cpp rejection_speech.cpp)
target_include_directories(rejection_bench PUBLIC ${PROJECT_SOURCE_DIR}/tests)
target_link_libraries(rejection_bench PUBLIC tattletone_tones tattletone_sound tattletone_scenes PRIVATE tattletone_flags)
add_executable(rejection_cost rejection_cost.cpp)
target_link_libraries(rejection_cost PRIVATE tattletone_flags rejection_bench)
target_compile_definitions(rejection_cost PRIVATE TATTLETONE_SHARED_DIR="${PROJECT_SOURCE_DIR}/../shared")
tattletone_test(NAME rejection_cost_test OPTIMISED COST 4 SOURCES rejection_cost_test.cpp LIBS rejection_bench)
add_test(NAME "rejections: the bench runs" COMMAND rejection_cost --scenes 3 --share 0.02 crowd hum speech_most_on)
set_tests_properties("rejections: the bench runs" PROPERTIES
    PASS_REGULAR_EXPRESSION "rejection_cost crowd_hz: costs [0-9.e-]+ % .[0-9]+ of [1-9].*rejection_cost speech_most_on: hears [1-9]")
