#include "window/platform/screen.h"

#include <cmath>
#include <filesystem>

#include <backends/imgui_impl_glfw.h>
#include <backends/imgui_impl_opengl3.h>
#include <imgui.h>

#include <GLFW/glfw3.h>

#include "base/text/lower_case.h"
#include "window/platform/system_places.h"

namespace tattletone::window {
namespace {

constexpr double text_size = 15.0;
constexpr int least_width = 800, least_height = 560;

const char* name_of(int key) {
    switch (key) {
        case GLFW_KEY_SPACE:
            return "space";
        case GLFW_KEY_LEFT:
            return "left";
        case GLFW_KEY_RIGHT:
            return "right";
        case GLFW_KEY_UP:
            return "up";
        case GLFW_KEY_DOWN:
            return "down";
        case GLFW_KEY_HOME:
            return "home";
        case GLFW_KEY_ESCAPE:
            return "escape";
        case GLFW_KEY_BACKSPACE:
            return "backspace";
        case GLFW_KEY_ENTER:
        case GLFW_KEY_KP_ENTER:
            return "enter";
        case GLFW_KEY_F1:
            return "f1";
        case GLFW_KEY_F5:
            return "f5";
        case GLFW_KEY_KP_ADD:
            return "+";
        case GLFW_KEY_KP_SUBTRACT:
            return "-";
        default:
            return nullptr;
    }
}

Error no_screen() {
    return {"the window", "it cannot be opened: there is no screen, or no OpenGL 3 on it",
            "Use 'tattletone listen' or 'tattletone examine' in the terminal, or log in with a screen"};
}

}  // namespace

Result<std::unique_ptr<Screen>> Screen::open(int width, int height) {
    glfwSetErrorCallback([](int, const char*) {});
    if (glfwInit() == GLFW_FALSE) return no_screen();
    glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
    glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 2);
    glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
    glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
    glfwWindowHint(GLFW_SCALE_TO_MONITOR, GLFW_TRUE);
    GLFWwindow* window = glfwCreateWindow(width, height, "Tattletone", nullptr, nullptr);
    if (window == nullptr) {
        glfwTerminate();
        return no_screen();
    }
    return std::unique_ptr<Screen>(new Screen(window));
}

Screen::Screen(GLFWwindow* window) : window_(window) {
    glfwMakeContextCurrent(window);
    glfwSwapInterval(1);
    glfwSetWindowSizeLimits(window, least_width, least_height, GLFW_DONT_CARE, GLFW_DONT_CARE);
    glfwSetWindowUserPointer(window, this);
    IMGUI_CHECKVERSION();
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.ConfigInputTextCursorBlink = false;  // or it would have to be drawn for ever
    watch_input();
    ImGui_ImplGlfw_InitForOpenGL(window, true);  // chains to what watch_input installed
    glfwSetKeyCallback(window, on_key);          // chains to Dear ImGui itself
    ImGui_ImplOpenGL3_Init("#version 150");
}

Screen::~Screen() {
    ImGui_ImplOpenGL3_Shutdown();
    ImGui_ImplGlfw_Shutdown();
    ImGui::DestroyContext();
    glfwDestroyWindow(window_);
    glfwTerminate();
}

Screen& Screen::of(GLFWwindow* window) {
    return *static_cast<Screen*>(glfwGetWindowUserPointer(window));
}

void Screen::watch_input() {
    glfwSetCursorPosCallback(window_, [](GLFWwindow* w, double, double) { of(w).input_ = true; });
    glfwSetCursorEnterCallback(window_, [](GLFWwindow* w, int) { of(w).input_ = true; });
    glfwSetMouseButtonCallback(window_, [](GLFWwindow* w, int, int, int) { of(w).input_ = true; });
    glfwSetScrollCallback(window_, [](GLFWwindow* w, double, double) { of(w).input_ = true; });
    glfwSetCharCallback(window_, [](GLFWwindow* w, unsigned int) { of(w).input_ = true; });
    glfwSetWindowFocusCallback(window_, [](GLFWwindow* w, int) { of(w).input_ = true; });
    glfwSetFramebufferSizeCallback(window_, [](GLFWwindow* w, int, int) { of(w).input_ = true; });
    glfwSetWindowRefreshCallback(window_, [](GLFWwindow* w) { of(w).input_ = true; });
    glfwSetWindowContentScaleCallback(window_, [](GLFWwindow* w, float, float) { of(w).input_ = true; });
    glfwSetDropCallback(window_, on_drop);
}

void Screen::on_key(GLFWwindow* window, int key, int scancode, int action, int mods) {
    Screen& screen = of(window);
    screen.input_ = true;
    if (action == GLFW_RELEASE) {
        screen.releases_.push_back({key, scancode, mods});
        return;
    }
    ImGui_ImplGlfw_KeyCallback(window, key, scancode, action, mods);
    const bool typing = ImGui::GetIO().WantTextInput;
    const bool always = key == GLFW_KEY_ESCAPE || key == GLFW_KEY_F1 || key == GLFW_KEY_F5;
    if (typing && !always) return;
    std::string name;
    if (const char* special = name_of(key)) {
        name = special;
    } else if (const char* letter = glfwGetKeyName(key, scancode)) {
        name = letter;  // as the layout of this keyboard has it
        if (name.size() == 1) name = base::lower_case(name);
    }
    if (!name.empty()) screen.keys_.push_back({name, (mods & (GLFW_MOD_CONTROL | GLFW_MOD_SUPER)) != 0});
}

void Screen::on_drop(GLFWwindow* window, int count, const char** paths) {
    Screen& screen = of(window);
    screen.input_ = true;
    for (int i = 0; i < count; ++i) screen.dropped_.emplace_back(paths[i]);
}

void Screen::wait(double seconds) {
    if (seconds <= 0.0)
        glfwPollEvents();
    else
        glfwWaitEventsTimeout(seconds);
}

void Screen::wake() {
    glfwPostEmptyEvent();
}

bool Screen::closing() const {
    return glfwWindowShouldClose(window_) != 0;
}

void Screen::close() {
    glfwSetWindowShouldClose(window_, GLFW_TRUE);
}

bool Screen::visible() const {
    return glfwGetWindowAttrib(window_, GLFW_ICONIFIED) == 0;
}

bool Screen::had_input() {
    const bool had = input_;
    input_ = false;
    return had;
}

std::vector<KeyPress> Screen::keys() {
    return std::exchange(keys_, {});
}

std::vector<std::string> Screen::dropped() {
    return std::exchange(dropped_, {});
}

void Screen::load_fonts(double scale) {
    ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
    atlas.Clear();
    static const ImWchar ranges[] = {0x0020, 0x024F, 0x0370, 0x04FF, 0x2010, 0x2026, 0x2190,
                                     0x2193, 0x2212, 0x2212, 0x2248, 0x2265, 0};
    std::string file;
    std::error_code problem;
    for (const std::string& font : text_fonts())
        if (file.empty() && std::filesystem::is_regular_file(font, problem)) file = font;
    for (const double size : {0.87, 1.0, 1.45, 2.9}) {
        const auto pixels = static_cast<float>(std::round(size * text_size * scale));
        ImFont* font = file.empty() ? nullptr : atlas.AddFontFromFileTTF(file.c_str(), pixels, nullptr, ranges);
        if (font == nullptr) {
            ImFontConfig config;
            config.SizePixels = pixels;
            atlas.AddFontDefault(&config);
        }
    }
    ImGui::GetIO().FontDefault = atlas.Fonts[1];
    ImGui_ImplOpenGL3_DestroyFontsTexture();
    ImGui_ImplOpenGL3_CreateFontsTexture();
    unit_ = atlas.Fonts[1]->FontSize;
    fonts_scale_ = scale;
    styled_ = false;
}

void Screen::begin_frame(const Palette& colours, double user_scale) {
    float screen_scale = 1.0f;
    glfwGetWindowContentScale(window_, &screen_scale, nullptr);
    int inner = 1, outer = 1;
    glfwGetFramebufferSize(window_, &inner, nullptr);
    glfwGetWindowSize(window_, &outer, nullptr);
    // Where window units are not pixels (macOS) they are scaled already.
    const double already = outer > 0 && inner > 0 ? static_cast<double>(inner) / outer : 1.0;
    const double scale = user_scale * static_cast<double>(screen_scale) / already;
    const bool other_scale = std::abs(scale - fonts_scale_) > 0.01;
    if (fonts_scale_ == 0.0) ImGui_ImplOpenGL3_NewFrame();  // makes the device's objects
    if (other_scale) load_fonts(scale);
    const bool dark = luminance(colours.ground) < 0.2;
    if (!styled_ || dark != dark_) apply_look(colours, unit_);
    styled_ = true;
    dark_ = dark;
    ImGui_ImplOpenGL3_NewFrame();
    ImGui_ImplGlfw_NewFrame();
    ImGui::NewFrame();
    places_.begin();
}

void Screen::end_frame(const Palette& colours) {
    ImGui::Render();
    // Not inside a frame: Dear ImGui stops the program where the modifiers change in one.
    for (const Release& release : std::exchange(releases_, {})) {
        ImGui_ImplGlfw_KeyCallback(window_, release.key, release.scancode, GLFW_RELEASE, release.mods);
        input_ = true;
    }
    int width = 0, height = 0;
    glfwGetFramebufferSize(window_, &width, &height);
    glViewport(0, 0, width, height);
    glClearColor(colours.ground.red / 255.0f, colours.ground.green / 255.0f, colours.ground.blue / 255.0f, 1.0f);
    glClear(GL_COLOR_BUFFER_BIT);
    ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
    ++frames_;
    places_.end();
}

std::vector<std::uint8_t> Screen::pixels(int& width, int& height) const {
    glfwGetFramebufferSize(window_, &width, &height);
    std::vector<std::uint8_t> rgba(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 4);
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    glReadPixels(0, 0, width, height, GL_RGBA, GL_UNSIGNED_BYTE, rgba.data());
    return rgba;
}

void Screen::show() {
    glfwSwapBuffers(window_);
}

float Screen::width() const {
    int width = 0;
    glfwGetWindowSize(window_, &width, nullptr);
    return static_cast<float>(width);
}

float Screen::height() const {
    int height = 0;
    glfwGetWindowSize(window_, nullptr, &height);
    return static_cast<float>(height);
}

Brush Screen::brush(const Palette& colours) {
    ImVector<ImFont*>& fonts = ImGui::GetIO().Fonts->Fonts;
    return Brush{colours, unit_, fonts[0], fonts[1], fonts[2], fonts[3], places_, drafts_};
}

void Screen::copy(const std::string& text) {
    glfwSetClipboardString(window_, text.c_str());
}

}  // namespace tattletone::window
